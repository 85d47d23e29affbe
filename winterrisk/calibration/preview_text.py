"""The preview in plain words."""

import pandas as pd

from winterrisk.calibration.preview import Preview
from winterrisk.calibration.warning_score import SCORES

MOST_LINES = 20
"""Calls, and zones, listed one by one; the rest are counted."""


def _call_line(row: pd.Series) -> str:
    chance = row["chance_then"] if row["change"] == "gained" else row["chance_now"]
    shown = "" if pd.isna(chance) else f", chance {float(chance):.2f}"
    night = pd.Timestamp(row["on"])
    return f"  {row['change']:6} {night:%Y-%m-%d} {str(row['kind']).upper()} {row['zone']}{shown}"


def _scores(preview: Preview) -> list[str]:
    if preview.zones["dead_low"].isna().all():
        return ["No spring survey falls into these winters: hits and misses cannot be told."]
    lines = ["Against the spring surveys (zones):", f"  {'':13} {'now':>5} {'then':>5}"]
    for name, row in preview.scores.iterrows():
        if row["now"] or row["then"] or name in ("hit", "miss", "false"):
            lines.append(f"  {name:13} {int(row['now']):5d} {int(row['then']):5d}  {SCORES[str(name)]}")
    changed = preview.changed
    lines += [_zone_line(row) for _, row in changed.head(MOST_LINES).iterrows()]
    return lines + ([f"  and {len(changed) - MOST_LINES} more zones"] if len(changed) > MOST_LINES else [])


def _zone_line(row: pd.Series) -> str:
    score = f"{row['now']} -> {row['then']}" if row["now"] != row["then"] else f"{row['now']} either way"
    dead = "" if pd.isna(row["dead_low"]) else f" ({row['dead_low']:.0%} to {row['dead_high']:.0%} dead)"
    warned = ", ".join(_warned(row, side) for side in ("now", "then"))
    return f"  {row['zone']} in {row['winter']}: {score}{dead}; first warning {warned}"


def _warned(row: pd.Series, side: str) -> str:
    first = row[f"first_{side}"]
    if pd.isna(first):
        return f"{side} none"
    lead = row[f"lead_{side}"]
    return f"{side} {first:%Y-%m-%d}" + ("" if pd.isna(lead) else f" ({int(lead)} days before the survey)")


def preview_text(preview: Preview) -> str:
    """Calls gained and lost one by one, how many stayed, scores, and zones that changed; without a final newline."""
    changed = preview.calls[preview.calls["change"] != "same"]
    counts = ", ".join(f"{preview.number(change)} {change}" for change in ("gained", "lost", "same"))
    lines = [f"Calls of past nights with the proposed thresholds: {counts}."]
    lines += [_call_line(row) for _, row in changed.head(MOST_LINES).iterrows()]
    if len(changed) > MOST_LINES:
        lines.append(f"  and {len(changed) - MOST_LINES} more")
    return "\n".join([*lines, *_scores(preview)])
