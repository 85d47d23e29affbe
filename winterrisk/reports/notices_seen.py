"""What an observation corrected since the last night, and observations that contradict each other."""

from collections.abc import Iterator, Mapping
from typing import Any, Final

import numpy as np
import pandas as pd

from winterrisk.reports.units import measure_words

Notice = dict[str, str]

TOGETHER: Final = np.timedelta64(24, "h")
"""Two observations of one thing within this time can be compared (judged)."""
SNOW_APART: Final = 0.10
"""Snow depths of one zone and day further apart than this contradict each other [m] (judged)."""
ICE_APART: Final = 3.0
"""Ice from which a green counts as iced [mm] (convention of the package)."""
METRES: Final = {"cm": 0.01, "mm": 0.001, "m": 1.0}


def corrected(
    events: Mapping[str, pd.DataFrame],
    before: Mapping[str, Any] | None,
    now: np.datetime64,
    units: str = "metric",
) -> list[Notice]:
    """What people saw since the night before and what that night had said of it, one line a zone and thing.

    Args:
        events: zone -> rows of `book.events`. before: the record of the last night; None where there is none.
        now: UTC. units: metric or us, of the reader.
    """
    if before is None:
        return []
    on, said = str(before["on"]), {z["zone"]: z for z in before["data"]["zones"]}
    since = np.datetime64(on, "D")
    return [
        {"kind": "corrected", "zone": zone, "text": f"{zone}: seen {seen}, the night of {on} had {had}"}
        for zone, rows in events.items()
        if zone in said
        for seen, had in _against(rows[(rows["known"] >= since) & (rows["known"] <= now)], said[zone], units)
    ]


def _against(rows: pd.DataFrame, said: Mapping[str, Any], units: str) -> Iterator[tuple[str, str]]:
    ice, snow = float(said["ice_mm"]), float(said["snow_m"])
    had_ice = f"{measure_words(round(ice), 'mm', units)} of ice" if ice >= ICE_APART else "none"
    for row in rows.drop_duplicates("kind", keep="last").to_dict("records"):
        kind, value = row["kind"], row["value"]
        if kind in ("ice_seen", "ice_from") and (ice < ICE_APART or _off(value, row, ice)):
            told = kind == "ice_seen" and pd.notna(value)
            yield f"ice {measure_words(float(value), row['unit'], units)}" if told else "ice", had_ice
        elif kind == "no_ice" and ice >= ICE_APART:
            yield "no ice", had_ice
        elif kind == "snow_depth_seen" and pd.notna(value):
            depth = float(value) * METRES.get(str(row["unit"]), 0.01)
            if abs(depth - snow) > SNOW_APART:
                yield f"{_depth(depth, units)} of snow", _depth(snow, units)
        elif kind == "crown_temperature_seen" and pd.notna(value):
            seen, lowest = (
                measure_words(round(float(v), 1), "degC", units) for v in (value, said["crown_min"])
            )
            yield f"the crown at {seen}", f"{lowest} at its lowest"


def _off(value: Any, row: Mapping[str, Any], ice: float) -> bool:
    return row["kind"] == "ice_seen" and pd.notna(value) and not 0.5 <= max(float(value), 0.1) / ice <= 2.0


def _depth(snow: float, units: str) -> str:
    """A depth of snow [m] as the reader measures it."""
    return measure_words(round(100 * snow), "cm", units)


def conflicts(events: Mapping[str, pd.DataFrame], now: np.datetime64, units: str = "metric") -> list[Notice]:
    """Observations of the last two days that cannot both be right; the later one counts."""
    found = []
    for zone, rows in events.items():
        late = rows[(rows["time"] > now - 2 * TOGETHER) & (rows["time"] <= now)].to_dict("records")
        for first, second in _pairs(late):
            if (words := _contradiction(first, second, units)) is not None:
                text = f"{zone}: {words}; the later one counts until somebody looks again"
                found.append({"kind": "conflict", "zone": zone, "text": text})
    return found


def _pairs(rows: list[dict[str, Any]]) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    for index, first in enumerate(rows):
        for second in rows[index + 1 :]:
            if second["time"] - first["time"] <= pd.Timedelta(TOGETHER):
                yield first, second


def _contradiction(first: Mapping[str, Any], second: Mapping[str, Any], units: str) -> str | None:
    kinds = {first["kind"], second["kind"]}
    who = " and ".join(dict.fromkeys(str(r["who"] or "somebody") for r in (first, second)))
    if kinds == {"ice_seen", "no_ice"}:
        return f"ice and no ice within a day, from {who}"
    if kinds == {"snow_depth_seen"}:
        depths = [float(r["value"]) * METRES.get(str(r["unit"]), 0.01) for r in (first, second)]
        if abs(depths[0] - depths[1]) > 2 * SNOW_APART:
            one, other = (_depth(depth, units) for depth in depths)
            return f"{one} and {other} of snow within a day, from {who}"
    return None
