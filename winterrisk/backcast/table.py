"""All winters as lines to read, as a table for files, as one object for scripts."""

import datetime as dt
from collections.abc import Mapping
from typing import Any, Final

import pandas as pd

from winterrisk.backcast.all_winters import AllWinters
from winterrisk.backcast.forecasts import WORDS
from winterrisk.backcast.winter_row import SNOW_DAY
from winterrisk.reports.units import measure_words, percent
from winterrisk.reports.words import CAUSE_WORDS
from winterrisk.science.day_words import day_month

Row = Mapping[str, Any]

LITTLE: Final = 0.05
"""Dead share [1] below which a winter did little harm: the band "spots"."""
RESTLESS: Final = 0.02
"""Flip-flop index [1] from which it is told (judged)."""
NAMED_TOO: Final = 0.25
"""Share of the harm from which a second cause is named [1] (judged)."""
UNITS: Final = {
    "crown_min": "degC", "ice_days": "d", "soaked_freezes": "d", "snow_days": "d", "snow_deepest": "m",
    "worst_day_crown": "degC", "worst_day_depth": "m", "worst_day_under_ice": "d", "snow_on_unfrozen": "d",
    "drying_days": "d",
}  # fmt: skip
"""Units of the columns that have one; the rest are shares, counts, names and dates."""
HEAD: Final = (
    f"{'':>3}  {'winter':<8}{'over a quarter dead':<28}{'dead':>6}{'ice':>6}{'coldest crown':>18}"
    f"{'swings':>8}{'soaked':>8}  {'snow lay':<24}{'data':>5}"
)


def lines(told: AllWinters) -> list[str]:
    """The table in words: head, winters worst first with the reason under each, then what cannot be said."""
    zones = "each winter on all that is known today, worst first"
    nights = (
        f"calls: nights from 1 November to 30 April, every {told.every} days, on what was known then"
        if told.every
        else "calls: not worked (--no-calls)"
    )
    out = [
        f"{told.course}: {zones}",
        f"forecast: {WORDS[told.forecast]}",
        nights,
        f"chance and dead share: worst zone, by 15 May; ice: days of the longest spell; soaked: days on which wet "
        f"crowns froze hard; snow lay: days with {measure_words(1000 * SNOW_DAY, 'mm', told.units)} or more",
        "",
        HEAD,
    ]
    for row in told.ranked:
        out += [_figures(row, told.units), f"     {sentence(row, told.units)}"]
        if "nights" in row:
            out.append(f"     {calls_words(row)}")
    if not told.ranked:
        out.append("     none of the winters on record can be judged")
    if told.unsaid:
        out += ["", "CANNOT SAY, which is no all-clear:"]
        out += [f"     {row['winter']:<8}{row['why']}{_part(row, told.units)}" for row in told.unsaid]
    return out


def _figures(row: Row, units: str) -> str:
    chance = f"{_chance(row)} {row['zone']}"
    crown = f"{measure_words(round(row['crown_min'], 1), 'degC', units)} {row['crown_min_zone']}"
    snow = f"{row['snow_days']:.0f} d"
    if row["snow_first"]:
        snow += f", {_day(row['snow_first'])} - {_day(row['snow_last'])}"
    return (
        f"{row['rank']:>3}  {row['winter']:<8}{chance:<28}{percent(row['dead_share']):>6}{row['ice_days']:>4.0f} d"
        f"{crown:>18}{row['swings']:>8.0f}{row['soaked_freezes']:>6.0f} d  {snow:<24}{row['measured']:>5.0%}"
    )


def sentence(row: Row, units: str) -> str:
    """Why, in words: main cause, zone, its worst day and what that day was like, and a second cause."""
    if not row["worst_day"]:
        return f"no harm worth a name in {row['zone']}"
    little = "little harm; " if row["dead_share"] < LITTLE else ""
    year = row["worst_day"][:4]
    text = f"{little}{CAUSE_WORDS[row['cause']]} in {row['zone']}, worst on {_day(row['worst_day'])} {year}"
    text += f": {_detail(row, units)}"
    others = [name for name, share in row["causes"].items() if name != row["cause"] and share >= NAMED_TOO]
    return f"{text}; then {CAUSE_WORDS[others[0]]}" if others else text


def _detail(row: Row, units: str) -> str:
    crown = f"crown down to {measure_words(round(row['worst_day_crown'], 1), 'degC', units)}"
    if row["cause"] in ("ice", "mixed"):
        return f"day {row['worst_day_under_ice']:.0f} under ice, {crown}"
    if row["cause"] in ("snow_mould_pink", "snow_mould_grey"):
        depth = measure_words(round(1000 * row["worst_day_depth"]), "mm", units)
        return f"{row['snow_on_unfrozen']:.0f} days of snow on unfrozen turf by then, {depth} lying"
    if row["cause"] == "drying":
        return f"{row['drying_days']:.0f} strong drying days by then, {crown}"
    return crown


def calls_words(row: Row) -> str:
    """What the nights of a winter would have said."""
    if not row["nights"]:
        return "calls: no night on record"
    looks, pulls = _count(row["looks"], "look"), _count(row["pulls"], "pull")
    calls = f"calls: {looks} and {pulls}, new ones on {row['messages']} of {row['nights']} nights"
    if row["forecast_nights"]:
        calls += f", a forecast ahead of {row['forecast_nights']}"
    if row["said_on"]:
        calls += f"; most feared on {_day(row['said_on'])}, {_percent(row['said'])} in {row['said_zone']}"
    if row["turned"]:
        calls += f"; took a call back unanswered on {row['turned']}"
    if row["flip_flop"] >= RESTLESS:
        calls += f"; chance to and fro by {100 * row['flip_flop']:.0f} points a night"
    if row["unsaid_nights"]:
        calls += f"; could not say on {row['unsaid_nights']}"
    return calls


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" + ("" if number == 1 else "s")


def _part(row: Row, units: str) -> str:
    part = row["part"]
    if part is None:
        return ""
    ice = f", {part['ice_days']:.0f} days under ice" if part["ice_days"] >= 1 else ""
    crown = measure_words(round(part["crown_min"], 1), "degC", units)
    return (
        f"; to {_day(part['until'])}: {_chance(part)} over a quarter of {part['zone']} dead, "
        f"coldest crown {crown}{ice}"
    )


def _chance(row: Row) -> str:
    return f"{_percent(row['chance'])} ({100 * row['low']:.0f}-{100 * row['high']:.0f})"


def _percent(chance: float) -> str:
    return f"{100.0 * chance:.0f} %"


def _day(text: str) -> str:
    return day_month(dt.date.fromisoformat(text))


def frame(told: AllWinters) -> pd.DataFrame:
    """One row a winter, ranked first; a winter that cannot be judged has its reason in `cannot_say` and the
    figures of the part on record, without a rank."""
    rows: list[dict[str, Any]] = [
        {**row, "why": sentence(row, "metric"), "cannot_say": ""} for row in told.ranked
    ]
    for row in told.unsaid:
        part = row["part"] or {}
        rows.append({**part, **{n: row[n] for n in ("winter", "measured")}, "cannot_say": row["why"]})
    first = ["rank", "winter", "cannot_say", "measured", "zone", "chance", "low", "high", "dead_share", "why"]
    table = pd.DataFrame(rows)
    table = table.reindex(columns=[*first, *(c for c in table if c not in {*first, "causes", "zones"})])
    table["rank"] = table["rank"].astype("Int64")
    return table.rename(columns={n: f"{n}_{unit}" for n, unit in UNITS.items()})


def record(told: AllWinters, version: str) -> dict[str, Any]:
    """All of it as one object: plain numbers, names with units."""
    return {
        "course": told.course,
        "version": version,
        "forecast": WORDS[told.forecast],
        "every": told.every,
        "members": told.settings.n_ground * told.settings.n_paths,
        "draws": told.settings.n_draws,
        "winters": [_named(row) | {"why": sentence(row, "metric")} for row in told.ranked],
        "cannot_say": [
            {**row, "part": None if row["part"] is None else _named(row["part"])} for row in told.unsaid
        ],
    }


def _named(row: Row) -> dict[str, Any]:
    rounded = {n: round(v, 4) if isinstance(v, float) else v for n, v in row.items()}
    rounded["causes"] = {n: round(v, 4) for n, v in row["causes"].items() if v >= 0.0005}
    rounded["zones"] = {z: {n: round(v, 4) for n, v in of.items()} for z, of in row["zones"].items()}
    return {f"{n}_{UNITS[n]}" if n in UNITS else n: v for n, v in rounded.items()}
