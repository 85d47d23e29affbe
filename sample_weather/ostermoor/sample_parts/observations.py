"""What the invented crew saw on its rounds: ice, snow and water; one zone cleared, one under a cover."""

from __future__ import annotations

import numpy as np
import pandas as pd

from .place import ASSISTANT, SUPERINTENDENT, ZONES

CLEARED = (pd.Timestamp("2023-01-30"), "1 low")
COVERED = "8 open"
TREATMENTS = [
    (*CLEARED, "cleared"),
    (pd.Timestamp("2024-11-20"), COVERED, "cover_on"),
    (pd.Timestamp("2025-04-02"), COVERED, "cover_off"),
    (pd.Timestamp("2025-11-18"), COVERED, "cover_on"),
]

# one round a line: day, then the zones looked at ("+" also reads the snow stake at 4 open)
_ROUNDS = """
2020-12-04 4 low, 4 open, +
2020-12-18 4 low, 9 low, 3 shade
2021-01-05 4 low, 2 low, +
2021-01-15 9 low, 6 drain
2021-02-02 4 low, 3 shade, 2 ridge, +
2021-02-16 2 low, 7 low
2021-03-02 4 low, 4 dam, +
2021-03-19 4 low, 9 low, 3 shade

2021-11-30 4 low, +
2021-12-14 2 low, 3 shade
2022-01-04 4 low, 9 dam, +
2022-01-18 4 low, 7 low, 4 open
2022-02-08 9 low, 6 drain, +
2022-03-01 4 low, 2 low, 3 shade, +
2022-03-24 4 low, 9 low, 6 north

2022-12-06 4 low, 2 ridge
2022-12-16 4 low, 9 low, +
2022-12-27 4 low, 4 dam, 1 low, 4 open
2023-01-06 4 low, 2 low, 9 low
2023-01-13 6 drain, 7 low, 3 shade, +
2023-01-20 4 low, 1 low, 2 ridge
2023-01-30 4 low, 9 dam, 1 open
2023-02-10 4 low, 2 low, 1 low, +
2023-02-24 4 low, 9 low, 7 low, 8 edge
2023-03-03 4 low, 4 open
2023-03-10 4 low, 2 low, 6 drain
2023-03-16 4 low, 4 dam, 9 low

2023-12-08 4 low, 3 shade
2023-12-22 4 low, +
2024-01-12 9 low, 2 low, +
2024-01-29 4 low, 4 dam, 9 low, 3 shade, 2 ridge
2024-02-05 4 low, 7 low
2024-02-13 4 low, 6 north, 9 low
2024-03-01 4 low, 2 low

2024-12-06 4 low, 3 shade, +
2024-12-20 4 low, 2 low, +
2025-01-14 4 low, 4 dam, 4 open, 2 ridge
2025-01-17 9 low, 2 low, 6 drain, 8 edge
2025-02-07 4 low, 7 low, 3 shade, +
2025-02-14 4 low, 9 low, 2 low, 4 open
2025-02-26 4 low, 4 dam, 9 low, 4 open
2025-03-04 4 low, 2 low, 7 shade
2025-03-12 4 low, 6 drain, 9 dam
2025-03-18 4 low, 2 low

2025-12-05 4 low, 3 shade, +
2025-12-19 4 low, 9 low, +
2026-01-15 4 low, 9 low, 4 open
2026-01-23 2 low, 6 drain, 4 dam
2026-01-30 4 low, 7 low, +
2026-02-06 4 low, 9 low, 1 low, 2 ridge
2026-02-13 4 low, 4 dam, 4 open
2026-02-20 4 low, 9 dam, 9 low, 2 low
"""

COLUMNS = ["time", "until", "area", "zone", "kind", "value", "unit", "share", "detail", "who", "known"]
_SPLIT = {zone.label: (zone.area, zone.name) for zone in ZONES}


def _rounds() -> list[tuple[pd.Timestamp, list[str]]]:
    lines = [line for line in _ROUNDS.splitlines() if line.strip()]
    return [(pd.Timestamp(line[:10]), [z.strip() for z in line[11:].split(",")]) for line in lines]


def _reading(state: pd.Series, rng: np.random.Generator) -> dict[str, object]:
    """What a person writes who scrapes one spot of the zone down to the turf."""
    if state.ice >= 2.5:
        found = max(2, round(state.ice * np.exp(0.12 * rng.standard_normal())))
        share = round(float(np.clip(rng.normal(0.8, 0.1), 0.5, 1.0)), 1)
        return {
            "kind": "ice_seen",
            "value": found,
            "unit": "mm",
            "share": share,
            "detail": "clear" if state.ice > 5 else "white",
        }
    if state.pond > 1.0:
        return {"kind": "water_seen", "value": round(state.pond), "unit": "mm", "share": 0.6}
    return {"kind": "no_ice", "share": 1.0}


def _stake(state: pd.Series) -> dict[str, object]:
    """The snow stake read at 4 open."""
    return {
        "zone": "4 open",
        "kind": "snow_depth_seen",
        "value": round(100 * state.depth),
        "unit": "cm",
        "share": 1.0,
    }


def _known(time: pd.Timestamp, rng: np.random.Generator) -> pd.Timestamp:
    """When the note was typed: mostly the same evening, one round in eight two days later."""
    late = pd.Timedelta(days=2) if rng.random() < 0.12 else pd.Timedelta(0)
    evening = time.normalize() + pd.Timedelta(hours=22, minutes=int(rng.integers(0, 90)))
    return evening + late


def _treatment_rows() -> list[dict[str, object]]:
    morning = CLEARED[0] + pd.Timedelta(hours=19)
    cleared = {"time": morning, "zone": CLEARED[1], "share": 1.0, "who": ASSISTANT}
    rows = [
        {**cleared, "kind": "snow_cleared", "value": 0, "unit": "cm", "detail": "by hand"},
        {**cleared, "kind": "ice_removed", "detail": "chipped and lifted by hand, two people"},
    ]
    for day, zone, kind in TREATMENTS[1:]:
        rows.append(
            {
                "time": day + pd.Timedelta(hours=20),
                "zone": zone,
                "kind": kind,
                "share": 1.0,
                "detail": "permeable",
                "who": SUPERINTENDENT,
            }
        )
    return rows


def observations(truth: pd.DataFrame, rng: np.random.Generator) -> pd.DataFrame:
    """Table of the crew's observations, in time order, with the columns of the book."""
    states = truth.set_index(["day", "zone"])
    rows = _treatment_rows()
    for day, zones in _rounds():
        who = ASSISTANT if rng.random() < 0.25 else SUPERINTENDENT
        time = day + pd.Timedelta(hours=15, minutes=int(rng.integers(0, 50)))
        known = _known(time, rng)
        for zone in zones:
            time += pd.Timedelta(minutes=12)
            if zone == "+":
                row = _stake(states.loc[(day, "4 open")])
            else:
                row = {"zone": zone, **_reading(states.loc[(day, zone)], rng)}
            rows.append({"time": time, "who": who, "known": known, **row})
    table = pd.DataFrame(rows)
    table["known"] = table["known"].fillna(table["time"] + pd.Timedelta(hours=4))
    table["area"] = [_SPLIT[zone][0] for zone in table["zone"]]
    table["zone"] = [_SPLIT[zone][1] for zone in table["zone"]]
    table["until"] = ""
    return table.sort_values(["time", "kind"], kind="stable").reindex(columns=COLUMNS)
