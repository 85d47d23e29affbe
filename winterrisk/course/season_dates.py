"""[calendar]: the dates a winter is decided by."""

import re
from datetime import date
from typing import Annotated, Final

from pydantic import BeforeValidator

from winterrisk.course.calendar import winter_start
from winterrisk.course.section import Section, refusal, said

_MONTH_DAY: Final = re.compile(r"(\d{2})-(\d{2})")
_LEAP_YEAR: Final = 2024


def _month_day_or_date(value: object) -> object:
    if type(value) is date:
        return value.isoformat()
    if isinstance(value, str):
        text = value.strip()
        full = f"{_LEAP_YEAR}-{text}" if _MONTH_DAY.fullmatch(text) else text
        try:
            date.fromisoformat(full)
        except ValueError:
            pass
        else:
            return text
    raise refusal(
        "a month-day such as 03-01, or a full date such as 2026-03-01", "write month first, two digits each"
    )


DayInWinter = Annotated[str, BeforeValidator(_month_day_or_date)]
"""A month-day that comes every winter, or a full date."""


def day_in_winter(written: str, winter: str) -> date:
    """The date a month-day falls on in a winter; 29 February is 28 February in other years.

    A full date stands for itself in its own winter and for its month-day in any other.

    Args:
        written: "03-01" or "2026-03-01".
        winter: "2025-26".
    """
    month, day = (int(part) for part in written.split("-")[-2:])
    start = winter_start(winter)
    year = start.year if month >= start.month else start.year + 1
    if (month, day) == (2, 29) and not _is_leap(year):
        day = 28
    return date(year, month, day)


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


class SeasonDates(Section):
    """Dates that decide. A month-day comes every winter; a full date may be written too."""

    seed_order: DayInWinter = said("day by which seed is ordered", "03-01")
    sod_order: DayInWinter = said("day by which sod is ordered", "03-15")
    opening: DayInWinter = said("day the course should open", "04-25")

    def on(self, name: str, winter: str) -> date:
        """The date of seed_order, sod_order or opening in a winter such as "2025-26"."""
        return day_in_winter(getattr(self, name), winter)
