"""The invented spring surveys of every zone and the invented decisions taken on the way."""

from __future__ import annotations

import numpy as np
import pandas as pd

from .place import ASSISTANT, CHAIR, SUPERINTENDENT, ZONES

CLASSES = (0.0, 0.005, 0.05, 0.10, 0.20, 0.30, 0.50, 0.70, 0.90, 1.0)
SURVEY_DAYS = {
    "2020-21": "2021-05-05",
    "2021-22": "2022-05-02",
    "2022-23": "2023-05-09",
    "2023-24": "2024-05-03",
    "2024-25": "2025-05-12",
}
EYE = 0.35  # standard deviation of the eye's reading, in the logit of the dead share
SURVEY_COLUMNS = [
    *("winter", "date", "area", "zone", "species"),
    *("dead_low", "dead_high", "cause", "who", "known"),
]

_TOLD = {"chair": CHAIR, "assistant": ASSISTANT}
# time | text | reason | night | told
_DECISIONS = """
2021-02-24T15:00 | No seed order this spring | plugs of 9 Feb green, snow steady | 2021-02-23 | chair
2022-03-02T15:30 | No seed order this spring | plugs green, snow on frozen ground | 2022-03-01 | chair
2023-01-30T18:00 | Clear 1 low by hand, leave the rest | day 40 under ice, two people | 2023-01-29 | assistant
2023-03-01T16:00 | Order bent seed and 200 m2 sod | lows brown on day 7, day 70 of ice | 2023-02-28 | chair
2024-02-06T15:00 | Throw out the plugs of 30 Jan | sill froze, control brown | 2024-02-05 | assistant
2024-11-18T16:00 | Permeable cover on 8 open, none on 4 | one green to compare | 2024-11-17 | chair
2025-02-27T14:00 | Cut eleven plugs and a control | hard freeze on soaked turf | 2025-02-26 | assistant
2025-03-13T16:30 | Sod for lows, temporary greens on 4 and 7 | lows brown on day 14 | 2025-03-12 | chair
"""


def _class(share: float) -> tuple[float, float]:
    """The survey class that holds a dead share."""
    upper = int(np.clip(np.searchsorted(CLASSES, share, side="right"), 1, len(CLASSES) - 1))
    return CLASSES[upper - 1], CLASSES[upper]


def _cause(state: pd.Series, dead: float, rng: np.random.Generator) -> str:
    """What the superintendent thinks killed it: right when one cause stands out, else mixed or unknown."""
    ice, wet, cold = state.by_ice, state.by_wet_freeze, state.by_cold
    top = max(ice, wet, cold)
    if dead < 0.05 or top < 0.05 or rng.random() < 0.15:
        return "unknown"
    if sorted((ice, wet, cold))[1] > 0.25 * top:
        return "mixed"
    return {ice: "ice", wet: "wet_freeze", cold: "cold"}[top]


def spring_truth(truth: pd.DataFrame) -> pd.DataFrame:
    """State of each zone on 20 April of each surveyed spring: columns winter, zone, dead and causes."""
    rows = []
    for winter in SURVEY_DAYS:
        day = pd.Timestamp(f"20{winter[-2:]}-04-20")
        rows.append(truth[truth["day"] == day].assign(winter=winter))
    return pd.concat(rows, ignore_index=True)


def surveys(truth: pd.DataFrame, rng: np.random.Generator) -> pd.DataFrame:
    """One row a zone and spring, the dead share in the survey's classes."""
    spring = spring_truth(truth)
    rows = []
    for winter, date in SURVEY_DAYS.items():
        states = spring[spring["winter"] == winter].set_index("zone")
        for zone in ZONES:
            state = states.loc[zone.label]
            other = float(np.clip(np.exp(rng.normal(np.log(0.006), 0.9)), 0, 0.06))
            true = float(np.clip(1 - (1 - state.dead) * (1 - other), 0.001, 0.999))
            dead = float(1 / (1 + np.exp(-np.log(true / (1 - true)) - EYE * rng.standard_normal())))
            low, high = _class(dead)
            rows.append(
                {
                    "winter": winter,
                    "date": date,
                    "area": zone.area,
                    "zone": zone.name,
                    "species": "all",
                    "dead_low": low,
                    "dead_high": high,
                    "cause": _cause(state, dead, rng),
                    "who": SUPERINTENDENT,
                    "known": pd.Timestamp(date) + pd.Timedelta(hours=25),
                }
            )
    return pd.DataFrame(rows).reindex(columns=SURVEY_COLUMNS)


def decisions() -> pd.DataFrame:
    """The invented decisions of six winters."""
    rows = [[cell.strip() for cell in line.split("|")] for line in _DECISIONS.splitlines() if line]
    table = pd.DataFrame(rows, columns=["time", "text", "reason", "night", "told"])
    table = table.assign(who=SUPERINTENDENT, told=table["told"].map(_TOLD))
    return table[["time", "text", "reason", "night", "who", "told"]]
