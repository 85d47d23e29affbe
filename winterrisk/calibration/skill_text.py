"""How good past nights were, in plain words."""

import numpy as np
import pandas as pd

from winterrisk.calibration.skill import FEW, Figure90, Skill, interval_of_means

MONTHS = {"12-15": "15 December", "1-15": "15 January", "2-15": "15 February", "3-15": "15 March"}


def skill_lines(told: Skill, winters: int) -> list[str]:
    """Lines to read: by date, reliability, calls, worth, to and fro, and what was left out."""
    if not told.issues:
        return [
            "Nothing to verify: no night and no spring survey of the same winter and zone.",
            *_left_out(told),
        ]
    lines = [
        "Event: more than a quarter of a zone dead in the spring survey. Ranges: 90 %, whole winters drawn anew.",
        f"{'said by':<13}{'cases':>6}{'hurt':>6}  {'Brier score':<22}{'skill against the usual':<26}{'told apart':<12}"
        "worth of acting",
    ]
    for i in told.issues:
        lines.append(
            f"{MONTHS.get(i.issued, i.issued):<13}{i.cases:>6}{i.happened:>6}  {_ranged(i.brier):<22}"
            f"{_ranged(i.skill):<26}{_number(i.discrimination):<12}{_ranged(i.value)}"
        )
    last = told.issues[-1].parts
    lines += [
        f"Brier score of {MONTHS.get(told.issues[-1].issued)}, chances to tenths: reliability {last.reliability:.3f} "
        f"(0 is best) - resolution {last.resolution:.3f} + uncertainty {last.uncertainty:.3f}",
        "The usual: a chance fixed before each winter, one in ten to begin with, then the share of zones hurt so far.",
        f"Worth of acting where cost over loss is {told.cost_over_loss:.2f}: 1 as good as knowing, 0 no help.",
        "", "How often what was said came true (all dates):",
    ]  # fmt: skip
    for row in told.reliability.to_dict("records"):
        bar = (
            "too few cases to say"
            if row["cases"] < FEW
            else f"by luck {row['bar_low']:.0%} to {row['bar_high']:.0%} where the chance is right"
        )
        lines.append(
            f"  said {row['class']:<9} mean {row['said']:4.0%}: came true {row['happened']:4.0%} "
            f"of {row['cases']:>4}; {bar}"
        )
    calls = told.calls
    lines += [
        "",
        f"Calls to pull or act before the survey: {calls.hits} hits, {calls.misses} misses, {calls.false_alarms} false,"
        " "
        f"{calls.correct_negatives} rightly quiet (hurt zones warned of {_share(calls.detected)}, "
        f"warnings that came to nothing {_share(calls.false_share)})",
    ]  # fmt: skip
    flips = ", ".join(f"{w} {100 * f:.1f}" for w, f in told.flip_flop.items())
    lines.append(f"To and fro of the worst zone's chance, points a night beyond its way: {flips}")
    if winters < 10:
        lines.append(
            f"Few winters ({winters}) tell little: one more moves such scores by tenths. Pool courses before judging."
        )
    return lines + _left_out(told)


def crown_lines(scores: pd.DataFrame) -> list[str]:
    """How well crown temperatures were known where a probe saw them; nothing where none did.

    Args:
        scores: rows (winter, seen, mean, low, high, score), degC.
    """
    if scores.empty:
        return ["No crown temperature from a probe in these winters: that part is not scored."]
    score = interval_of_means(scores["score"].to_numpy(), scores["winter"].to_numpy())
    off = float((scores["mean"] - scores["seen"]).mean())
    inside = float(((scores["seen"] >= scores["low"]) & (scores["seen"] <= scores["high"])).mean())
    return [
        f"Crown temperatures of a probe ({len(scores)}): ranked probability score {_ranged(score)} K (0 is best), "
        f"mean error {off:+.1f} K, inside the 90 % range {inside:.0%}"
    ]


def _left_out(told: Skill) -> list[str]:
    lines = []
    if told.close:
        lines.append(f"Left out: {_counted(told.close, 'zone')} whose survey takes in a quarter (close).")
    if told.unsurveyed:
        lines.append(f"Left out: {_counted(told.unsurveyed, 'zone')} of winters without a survey.")
    if len(told.treated_table):
        once = told.treated_table.drop_duplicates(["winter", "zone"])
        named = ", ".join(f"{r.zone} {r.winter}" for r in once.itertuples())
        lines.append(f"Apart, treated (cleared, covered, vented; what it spared nobody knows): {named}")
    return lines


def _counted(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _ranged(figure: Figure90) -> str:
    if np.isnan(figure.low):
        return f"{_number(figure.value)} (no range)"
    return f"{_number(figure.value)} ({figure.low:.2f} to {figure.high:.2f})"


def _number(value: float) -> str:
    return "cannot say" if np.isnan(value) else f"{value:.2f}"


def _share(value: float) -> str:
    return "-" if np.isnan(value) else f"{value:.0%}"
