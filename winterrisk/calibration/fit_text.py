"""A fit in plain words: what moved, on what data, and the reasons not to adopt it."""

from collections.abc import Sequence

from winterrisk.calibration.fit import Fit
from winterrisk.calibration.held_out import HeldOut
from winterrisk.calibration.refusals import Learned


def _range(values: Sequence[float]) -> str:
    low, middle, high = (f"{value:.3g}" for value in values)
    return f"{middle} ({low} to {high})"


def _row_lines(row: Learned) -> list[str]:
    unit = "" if row.unit == "1" else f" {row.unit}"
    way = "up" if row.moved > 0 else "down"
    return [
        f"{row.key}: {row.label}",
        f"  table {_range(row.prior)}, proposed {_range(row.posterior)}{unit}, in force now {row.before:.3g}",
        f"  moved {abs(row.moved):.1f} of its prior spread {way}; its range is {row.width:.0%} of before",
        f"  {row.plugs} plugs and {row.surveys} surveys could speak of it: "
        f"{row.alive} pointed to live turf, {row.dead} to dead",
    ]


def _held_out_line(checked: Sequence[HeldOut]) -> str:
    if not checked:
        return "Only one winter has evidence: whether it foretells another winter cannot be checked yet."
    gain = sum(winter.fitted - winter.prior for winter in checked)
    word = "better" if gain > 0 else "worse"
    size = f"{abs(gain):.2f} (log score, {len(checked)} winters)"
    return f"Each winter foretold from the others: {word} than the default by {size}."


def fit_text(fit: Fit) -> str:
    """What a fit says, line by line; without a final newline."""
    lines = [
        f"Fitted on {fit.plugs} plugs and {fit.surveys} surveys of {', '.join(fit.winters) or 'no winter'}."
    ]
    if fit.remembered:
        lines.append(f"{fit.remembered} of the surveys are remembered winters, taken one class wider.")
    for row in fit.learned:
        lines += _row_lines(row)
    lines.append("Ranges are 5 to 95 of 100.")
    if fit.beside:
        lines.append(f"Doubt of {', '.join(fit.beside)} is in the range; these are not changed.")
    lines += [_held_out_line(fit.held_out), *fit.left_out]
    lines.append(
        f"Sampler: {fit.particles} particles, {fit.moves} moves, {fit.acceptance:.0%} taken, "
        f"smallest effective number {fit.smallest_effective:.0f}, log evidence {fit.log_evidence:.2f}, "
        f"seed {fit.seed}."
    )
    if fit.refusals:
        lines += ["Should NOT be adopted:", *(f"  - {reason}" for reason in fit.refusals)]
    return "\n".join(lines)
