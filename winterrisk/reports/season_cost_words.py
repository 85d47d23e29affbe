"""What the winter cost, in sentences: weather first, then dead turf, then plugs."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from winterrisk.reports.season_headlines import spoken
from winterrisk.reports.words import day_in_words, joined

Cost = Mapping[str, Any]


def money_words(amount: float, currency: str) -> str:
    """An amount as 'CAD 7,200'."""
    return f"{currency} {amount:,.0f}"


def weather_words(cost: Cost) -> str:
    """Days and money lost to weather."""
    opening, fit, days = spoken(cost["opening"]), cost["fit_from"], cost["weather_days"]
    if fit is None:
        unsaid = f"Lost to weather: nobody can say yet. The course should open on {opening}."
        return f"{unsaid} {_because(cost['why'])}".strip()
    if days == 0:
        return f"Lost to weather: nothing. Every green was fit for play when the course should open, on {opening}."
    lost = money_words(cost["weather_money"], cost["currency"])
    rate = money_words(cost["closed_day"], cost["currency"])
    return (
        f"Lost to weather: {_days(days)}, {lost} at {rate} a day. The course should open on {opening}; snow, ice or "
        f"ground thawed over frost lay on some green until {spoken(fit)}."
    )


def damage_words(cost: Cost) -> str:
    """Days and money lost to dead turf."""
    if cost["damage_money"] is None:
        return f"Lost to dead turf: nobody can say. {_because(cost['why'])}".strip()
    shut = [g for g in cost["greens"] if g["days"][2] != 0]
    if not shut:
        return "Lost to dead turf: nothing. By the reopening rules no green stays shut."
    low, high = (money_words(v, cost["currency"]) for v in cost["damage_money"])
    middle = cost["green_days"][1]
    least, most = cost["green_days"][0], cost["green_days"][2]
    spread = "" if least is None or most is None else f" ({least} to {most})"
    days = "days past the end of what can be told" if middle is None else f"{middle} green-days{spread}"
    greens = f"{len(shut)} green{'s' if len(shut) > 1 else ''}"
    return (
        f"Lost to dead turf: {days} on {greens} beyond what weather took, {low} (all repair ordered in time) to {high} "
        f"(nothing ordered). Days as they could be known on {spoken(cost['known_on'])}."
    )


def plug_words(cost: Cost) -> str:
    """What the plugs cost."""
    return f"Plugs of the winter: {money_words(cost['plug_money'], cost['currency'])}."


def cost_lines(cost: Cost) -> tuple[str, str]:
    """What the winter cost in two lines: weather, then dead turf and plugs."""
    return weather_words(cost), f"{damage_words(cost)} {plug_words(cost)}"


def range_words(days: Sequence[int | None]) -> str:
    """Days lost of a green: '39 (32 to 46)'."""
    least, middle, most = ("?" if day is None else str(day) for day in days)
    return middle if least == most else f"{middle} ({least} to {most})"


def open_words(dates: Sequence[str | None], last_day: str) -> str:
    """The days on which a green may be open again: middle, then earliest and latest."""
    told = [f"after {_short(last_day)}" if date is None else _short(date) for date in dates]
    return told[1] if told[0] == told[2] else f"{told[1]} ({told[0]} to {told[2]})"


def _short(date: str) -> str:
    return day_in_words(dt.date.fromisoformat(date))


def _days(number: int) -> str:
    return f"{number} day{'' if number == 1 else 's'}"


def _because(why: str) -> str:
    return f"Why: {why}." if why else ""


def first_words(row: Mapping[str, Any]) -> str:
    """When thresholds would first have warned, and where."""
    return f"{spoken(row['first'][0])}, {row['first'][1]}" if row["first"] else "never"


def score_words(scores: Mapping[str, int]) -> str:
    """Scores that anybody has: '9 hit, 3 false and 8 close'."""
    return joined([f"{number} {name}" for name, number in scores.items() if number])
