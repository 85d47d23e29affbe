"""Notices on covers: a sealed one on ground that was not frozen, air due, foul air, heat beneath, where to cut."""

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from typing import Final

import numpy as np
import xarray as xr

from winterrisk.course import Course
from winterrisk.microclimate import zone_weather
from winterrisk.recovery.cover_air import warm_cover_days
from winterrisk.recovery.covers import CoverSpell
from winterrisk.reports.units import measure_words
from winterrisk.reports.words import day_in_words, joined

Notice = dict[str, str]
AHEAD: Final = 2
"""Days for which heat under a cover is told [d] (days 1-2 are concrete)."""
LIKELY: Final = 0.5
LOSS: Final = "in the one case on record 90 to 95 % of such turf was lost"


def cover_notices(
    spells: Sequence[CoverSpell],
    course: Course,
    paths: xr.Dataset,
    on: dt.date,
    values: Mapping[str, float],
    called: Collection[str] = (),
) -> list[Notice]:
    """Notices of one night on the covers that lie; the danger first.

    Args:
        spells: covers lying. paths (time, member): possible weather. on: date. values: of the table of thresholds.
        called: zones of tonight's calls for plugs.
    """
    return [
        *(_danger(s) for s in spells if s.sealed and s.on_unfrozen_ground),
        *_air(spells, on, values),
        *_heat([s for s in spells if not s.sealed], course, paths, on, values),
        *_where_to_cut([s.zone for s in spells if s.zone in called]),
    ]


def danger_words(spell: CoverSpell) -> str:
    """The danger in one sentence: what lies where since when, what it did once, what to do."""
    return (
        f"DANGER, {spell.zone}: a sealed {spell.kind} cover was laid on {day_in_words(spell.since)} on ground that "
        f"was most likely not frozen; {LOSS}. Take it off, or let air in at every edge, until the ground is frozen"
    )


def _danger(spell: CoverSpell) -> Notice:
    return {"kind": "cover_danger", "zone": spell.zone, "text": danger_words(spell)}


def _air(spells: Sequence[CoverSpell], on: dt.date, values: Mapping[str, float]) -> list[Notice]:
    rows = []
    for spell in spells:
        if spell.foul(values):
            text = f"{spell.zone}: {_gas_words(spell)} under the cover: air it today, read again in a day"
        elif spell.due is not None and spell.due <= on:
            last = f"last aired {day_in_words(spell.aired)}" if spell.aired else "never aired"
            text = f"{spell.zone}: sealed cover since {day_in_words(spell.since)}, {last}: air it, and read the gas"
        else:
            continue
        rows.append({"kind": "cover", "zone": spell.zone, "text": text})
    return rows


def _gas_words(spell: CoverSpell) -> str:
    parts = [] if spell.oxygen is None else [f"oxygen {spell.oxygen:g} %"]
    if spell.carbon_dioxide is not None:
        parts.append(f"carbon dioxide {spell.carbon_dioxide:g} %")
    return " and ".join(parts)


def _heat(
    spells: Sequence[CoverSpell],
    course: Course,
    paths: xr.Dataset,
    on: dt.date,
    values: Mapping[str, float],
) -> list[Notice]:
    days = np.datetime64(on, "D") + np.arange(AHEAD)
    warm_air = measure_words(values["cover_air_warm"], "degC", course.place.units)
    warm: dict[dt.date, list[str]] = {}
    until = days[-1].astype("datetime64[ns]") + np.timedelta64(36, "h")
    near = paths.sel(time=slice(days[0].astype("datetime64[ns]") - np.timedelta64(14, "h"), until))
    for spell in spells:
        weather = zone_weather(near, course, spell.zone)
        chance = warm_cover_days(weather, days, values["cover_air_heat"], values["cover_air_warm"])
        for day, share in zip(days, chance, strict=True):
            if share >= LIKELY:
                warm.setdefault(day.astype(dt.date), []).append(spell.zone)
                break
    return [
        {
            "kind": "cover",
            "zone": "",
            "text": f"{joined(zones)}: air under the cover is likely to pass {warm_air} on "
            f"{day_in_words(day)}, which softens turf early: open it by mid-morning, keep it at hand for the frost",
        }
        for day, zones in warm.items()
    ]


def _where_to_cut(zones: Sequence[str]) -> list[Notice]:
    if not zones:
        return []
    text = (
        f"{joined(list(zones))}: covered: cut at the edge or a vent, do not fold back a frozen cover; "
        "note which, the middle may differ"
    )
    return [{"kind": "cover", "zone": "", "text": text}]
