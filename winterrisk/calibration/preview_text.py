"""The preview in plain words."""

import pandas as pd

from winterrisk.calibration.preview import Preview

MOST_LINES = 20
"""Calls listed one by one; the rest are counted."""

MEANING = {
    "hit": "dead from a quarter up, warned",
    "miss": "dead from a quarter up, not warned",
    "false": "warned, less than a quarter dead",
    "quiet": "neither",
}


def _call_line(row: pd.Series) -> str:
    chance = row["chance_then"] if row["change"] == "gained" else row["chance_now"]
    shown = "" if pd.isna(chance) else f", chance {float(chance):.2f}"
    night = pd.Timestamp(row["on"])
    return f"  {row['change']:6} {night:%Y-%m-%d} {str(row['kind']).upper()} {row['zone']}{shown}"


def _scores(preview: Preview) -> list[str]:
    if preview.surveys.empty:
        return ["No spring survey falls into these winters: hits and misses cannot be told."]
    lines = ["Against the spring surveys (zones):", f"  {'':6} {'now':>5} {'then':>5}"]
    for name, row in preview.scores.iterrows():
        lines.append(f"  {name:6} {int(row['now']):5d} {int(row['then']):5d}  {MEANING[str(name)]}")
    changed = preview.surveys[preview.surveys["now"] != preview.surveys["then"]]
    lines += [
        f"  {row.zone} in {row.winter}: {row.now} -> {row.then} ({row.dead:.0%} dead)"
        for row in changed.itertuples()
    ]
    return lines


def preview_text(preview: Preview) -> str:
    """Calls gained and lost one by one, how many stayed, and hits and misses; without a final newline."""
    changed = preview.calls[preview.calls["change"] != "same"]
    counts = ", ".join(f"{preview.number(change)} {change}" for change in ("gained", "lost", "same"))
    lines = [f"Calls of past nights with the proposed thresholds: {counts}."]
    lines += [_call_line(row) for _, row in changed.head(MOST_LINES).iterrows()]
    if len(changed) > MOST_LINES:
        lines.append(f"  and {len(changed) - MOST_LINES} more")
    return "\n".join([*lines, *_scores(preview)])
