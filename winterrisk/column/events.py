"""What people saw and did, set in every member's column at its hour."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.column.heat import ground_heat, ground_temperature
from winterrisk.science.constants import DENSITY_ICE, HEAT_ICE, LATENT_FUSION

ENOUGH = 0.5
"""Share of a zone from which an observation counts for the zone (convention of the package)."""
ICE_UNSAID = 10.0
"""Ice taken where a person saw ice but gave no thickness [mm] (judged)."""
ICE_HELD = 6.0
"""Ice kept while a person's dates say there is ice [mm] (judged: enough to seal)."""
SEEN_SNOW = 250.0
"""Density of snow seen where the model had none [kg m-3] (judged: settled snow)."""
PACKED_SNOW = 450.0
"""Density of snow after mowers, rollers or blowers [kg m-3] (400-550, column physics notes, judged)."""
BANKED, OPENED = 3.0, 0.3
"""Factor on the storage with snow banked on the drain side, and with it opened (judged)."""
VENT_HOURS = 24.0
"""Hours a venting lasts where none are given (judged)."""
FRESH_AIR, SPENT_AIR = 15.0, 5.0
"""Oxygen above which the turf is open, below which it is sealed [%] (judged)."""
TO_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "inch": 25.4}
COVERS = {
    "permeable": (0.04, 0.0, 0.40, 0.0),
    "impermeable": (0.04, 1.0, 0.10, 1.0),
    "insulated": (0.30, 1.0, 0.0, 1.0),
    "straw": (0.30, 0.0, 0.0, 0.0),
}
"""Resistance [m2 K W-1], share of water shed, share of sun passed, seal (judged from common practice)."""


@dataclass(frozen=True)
class Change:
    """One change of the state: when, for which members (all where None), and how."""

    time: np.datetime64
    kind: str
    value: float
    detail: str
    members: NDArray[np.bool_] | None = None


def _number(row: pd.Series, to: dict[str, float], base: str) -> float:
    value = pd.to_numeric(row.get("value"), errors="coerce")
    if pd.isna(value):
        return float("nan")
    unit = str(row.get("unit") or base).strip().lower()
    if unit in ("degf", "f"):
        return float((value - 32.0) / 1.8)
    return float(value) * to.get(unit, to.get(base, 1.0)) / to.get(base, 1.0)


BASE_UNIT = {
    "ice_seen": "mm",
    "ice_removed": "mm",
    "water_seen": "mm",
    "snow_depth_seen": "cm",
    "snow_cleared": "cm",
}
ENDS_ICE = ("no_ice", "ice_removed")


def changes(events: pd.DataFrame | None, zone: str | None, members: int) -> list[Change]:
    """The zone's events as changes of the state in order of time; rows for under half the zone are left out.

    "ice_from" starts at times spread over its days of doubt, one per member, and holds the ice until the
    next sight of it, or until the day the date was told.

    Args:
        events: columns time, until, zone, kind, value, unit, share, who, known, detail; times in UTC.
        zone: label, or None to take every row.
    """
    if events is None or not len(events):
        return []
    rows = events
    if zone is not None and "zone" in rows:
        rows = rows[rows["zone"].astype(str) == zone]
    if "share" in rows:
        share = pd.to_numeric(rows["share"], errors="coerce").fillna(1.0)
        rows = rows[share >= ENOUGH]
    rows = rows.assign(time=pd.to_datetime(rows["time"])).sort_values("time", kind="stable")
    found: list[Change] = []
    for _, row in rows.iterrows():
        time = np.datetime64(row["time"].floor("h").to_datetime64(), "h")
        kind = str(row["kind"])
        detail = "" if pd.isna(row.get("detail")) else str(row.get("detail"))
        value = _number(row, TO_MM, BASE_UNIT.get(kind, ""))
        if kind != "ice_from":
            found.append(Change(time, kind, value, detail))
            continue
        doubt = 24.0 * (0.0 if np.isnan(value) else abs(value))
        later = rows[rows["time"] > row["time"]]
        ends = later.loc[later["kind"].isin(ENDS_ICE), "time"]
        seen = later.loc[later["kind"] == "ice_seen", "time"]
        until = max([*seen, pd.to_datetime(row.get("known", row["time"]))], default=row["time"])
        if len(ends):
            until = min(ends.iloc[0], until)
        stop = np.datetime64(pd.Timestamp(until).floor("h").to_datetime64(), "h")
        place = np.floor((np.arange(members) * 0.618034 % 1.0) * 5.0)
        for step in range(5 if doubt > 0 else 1):
            shift = round((step - 2) / 2.5 * doubt) if doubt > 0 else 0
            mask = place == step if doubt > 0 else None
            begin = min(time + np.timedelta64(shift, "h"), stop)
            found.append(Change(begin, "ice_begins", float("nan"), detail, mask))
        day = time + np.timedelta64(24 + int(doubt), "h")
        while day < stop:
            found.append(Change(day, "ice_held", float("nan"), detail))
            day = day + np.timedelta64(24, "h")
        found.append(Change(stop, "ice_hold_ends", float("nan"), detail))
    return sorted(found, key=lambda change: change.time)


def _ice(column: NDArray[np.float64]) -> float:
    mass = column[at.MASS + at.POND]
    return float(mass - min(mass, max(0.0, column[at.HEAT + at.POND] / LATENT_FUSION)))


def _temperature(column: NDArray[np.float64], layers: NDArray[np.float64], j: int) -> float:
    layer = layers[j]
    i = at.TURF + j
    return float(
        ground_temperature(
            column[at.HEAT + i], column[at.MASS + i], layer[at.DRY_HEAT], layer[at.RAMP], layer[at.FREEZING]
        )[0]
    )


def _set_ice(column: NDArray[np.float64], layers: NDArray[np.float64], mm: float, white: bool) -> None:
    """Ice as somebody says it is; what the day's thickest was thought to be until then counts no more."""
    column[at.SUMS + at.D_ICE_MAX] = 0.0
    liquid = column[at.MASS + at.POND] - _ice(column)
    mass = 0.001 * mm * DENSITY_ICE
    cold = min(0.0, _temperature(column, layers, 0)) * HEAT_ICE * mass
    column[at.MASS + at.POND] = mass + liquid
    column[at.HEAT + at.POND] = cold + LATENT_FUSION * liquid
    column[at.WHITE] = mass if white else 0.0


def _set_snow(column: NDArray[np.float64], layers: NDArray[np.float64], depth: float) -> None:
    have = column[at.THICK : at.THICK + 3].sum()
    if have > 0.0:
        for start in (at.THICK, at.MASS, at.HEAT):
            column[start : start + 3] *= depth / have
        return
    mass = SEEN_SNOW * depth / 3.0
    column[at.THICK : at.THICK + 3] = depth / 3.0
    column[at.MASS : at.MASS + 3] = mass
    column[at.HEAT : at.HEAT + 3] = HEAT_ICE * mass * min(0.0, _temperature(column, layers, 0))


def _set_water(column: NDArray[np.float64], layers: NDArray[np.float64], mm: float) -> None:
    ice = _ice(column)
    change = mm - (column[at.MASS + at.POND] - ice)
    column[at.MASS + at.POND] += change
    column[at.HEAT + at.POND] += LATENT_FUSION * change
    if mm <= 0.0:
        return
    for j in range(2):
        temperature = _temperature(column, layers, j)
        layer = layers[j]
        mass = max(column[at.MASS + at.TURF + j], 0.97 * layer[at.PORE])
        column[at.MASS + at.TURF + j] = mass
        column[at.HEAT + at.TURF + j] = ground_heat(
            temperature, mass, layer[at.DRY_HEAT], layer[at.RAMP], layer[at.FREEZING]
        )


def _set_crown(column: NDArray[np.float64], layers: NDArray[np.float64], seen: float) -> None:
    gap = seen - _temperature(column, layers, at.CROWN - at.TURF)
    for j in range(at.LAYERS):
        layer = layers[j]
        target = _temperature(column, layers, j) + gap * np.exp(-at.CENTRES[j] / 0.10)
        column[at.HEAT + at.TURF + j] = ground_heat(
            float(target),
            column[at.MASS + at.TURF + j],
            layer[at.DRY_HEAT],
            layer[at.RAMP],
            layer[at.FREEZING],
        )


def _no_ice(column: NDArray[np.float64], layers: NDArray[np.float64]) -> None:
    _set_ice(column, layers, 0.0, False)
    for slot in (at.GAP, at.ICE_HOURS, at.BARE_HOURS, at.KEPT):
        column[slot] = 0.0


def cover_named(said: str) -> str:
    """The kind of cover that a person's words mean; permeable where they name none."""
    return next((n for n in COVERS if n in said.lower() and n != "permeable"), "permeable")


def cover_seals(said: str) -> bool:
    """Whether a cover so described shuts the turf off from the air."""
    return COVERS[cover_named(said)][3] > 0.0


def _cover(column: NDArray[np.float64], kind: str) -> None:
    name = cover_named(kind)
    column[at.COVER_R], column[at.COVER_SHEDS], column[at.COVER_SUN], column[at.COVER_SEALS] = COVERS[name]


Setter = Callable[[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], Change], None]


def _ice_seen(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    _set_ice(c, g, ICE_UNSAID if np.isnan(e.value) else e.value, "white" in e.detail or "porous" in e.detail)
    c[at.KEPT] = 0.0
    c[at.GAP] = 3.0 * p[par.GAP_OPEN] if "porous" in e.detail else 0.0
    if c[at.ICE_HOURS] == 0.0 and _ice(c) > 0.0:
        c[at.ICE_HOURS] = 1.0


def _ice_begins(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    if _ice(c) < 0.001 * ICE_HELD * DENSITY_ICE:
        _set_ice(c, g, ICE_HELD, "white" in e.detail)
    c[at.KEPT], c[at.ICE_HOURS], c[at.BARE_HOURS], c[at.GAP] = 1.0, 1.0, 0.0, 0.0


def _ice_held(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    if c[at.KEPT] > 0.5 and _ice(c) < 0.001 * ICE_HELD * DENSITY_ICE:
        _set_ice(c, g, ICE_HELD, c[at.WHITE] > 0.0)
        c[at.GAP] = 0.0


def _ice_removed(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    left = 0.0 if np.isnan(e.value) else e.value
    if left <= 0.0:
        _no_ice(c, g)
    else:
        _set_ice(c, g, min(left, 1000.0 * _ice(c) / DENSITY_ICE), c[at.WHITE] > 0.0)
    c[at.TREATED] = 1.0


def _snow_cleared(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    left = 0.0 if np.isnan(e.value) else 0.01 * e.value
    _set_snow(c, g, min(left, c[at.THICK : at.THICK + 3].sum()))
    c[at.TREATED] = 1.0


def _packed(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    for k in range(3):
        c[at.THICK + k] = min(c[at.THICK + k], c[at.MASS + k] / PACKED_SNOW)


def _gas_seen(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    if e.value >= FRESH_AIR:
        c[at.GAP] = 3.0 * p[par.GAP_OPEN]
    elif e.value <= SPENT_AIR:
        c[at.GAP] = 0.0


def _sets(slot: int, value: float, treated: bool = False) -> Setter:
    def setter(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
        c[slot] = value
        if treated:
            c[at.TREATED] = 1.0

    return setter


def _vented(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    c[at.VENTED] = VENT_HOURS if np.isnan(e.value) else e.value
    c[at.TREATED] = 1.0


def _cover_on(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    _cover(c, e.detail)
    c[at.TREATED] = 1.0


def _cover_opened(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    c[at.COVER_SEALS] = 0.0
    c[at.VENTED] = VENT_HOURS
    c[at.TREATED] = 1.0


def _cover_off(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    c[at.COVER_R : at.COVER_SEALS + 1] = 0.0


def _ice_broken(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    c[at.GAP] = 3.0 * p[par.GAP_OPEN]
    c[at.TREATED] = 1.0


def _water_removed(c: NDArray[np.float64], g: NDArray[np.float64], p: NDArray[np.float64], e: Change) -> None:
    _set_water(c, g, 0.0)
    c[at.TREATED] = 1.0


SETTERS: dict[str, Setter] = {
    "ice_seen": _ice_seen,
    "ice_begins": _ice_begins,
    "ice_held": _ice_held,
    "ice_hold_ends": _sets(at.KEPT, 0.0),
    "no_ice": lambda c, g, p, e: _no_ice(c, g),
    "snow_depth_seen": lambda c, g, p, e: _set_snow(c, g, 0.01 * e.value),
    "water_seen": lambda c, g, p, e: _set_water(c, g, e.value),
    "crown_temperature_seen": lambda c, g, p, e: _set_crown(c, g, e.value),
    "gas_seen": _gas_seen,
    "snow_cleared": _snow_cleared,
    "snow_banked": _sets(at.STORE, BANKED),
    "drain_side_opened": _sets(at.STORE, OPENED),
    "packed": _packed,
    "ice_removed": _ice_removed,
    "ice_broken": _ice_broken,
    "water_removed": _water_removed,
    "cover_on": _cover_on,
    "cover_opened": _cover_opened,
    "cover_off": _cover_off,
    "vented": _vented,
    "dark_sand": _sets(at.DARK, 1.0),
}
"""What each kind of event sets; kinds not named here (such as "sanded") leave the column as it is."""


def apply_change(
    change: Change, array: NDArray[np.float64], parameters: NDArray[np.float64], layers: NDArray[np.float64]
) -> None:
    """Sets the state array (member, SIZE) in place; water and heat so added are kept as an outside source."""
    setter = SETTERS.get(change.kind)
    if setter is None:
        return
    if np.isnan(change.value) and change.kind in ("snow_depth_seen", "water_seen", "crown_temperature_seen"):
        return
    for m in range(len(array)):
        if change.members is not None and not change.members[m]:
            continue
        column = array[m]
        water, heat = column[at.MASS : at.MASS + at.NODES].sum(), column[at.HEAT : at.HEAT + at.NODES].sum()
        setter(column, layers[m], parameters[m], change)
        column[at.EVENT_WATER] += column[at.MASS : at.MASS + at.NODES].sum() - water
        column[at.EVENT_HEAT] += column[at.HEAT : at.HEAT + at.NODES].sum() - heat
