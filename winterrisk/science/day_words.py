"""Days as people write them, whatever the language of the machine."""

import datetime as dt
from typing import Final

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_month(day: dt.date) -> str:
    """A date without its year: "4 Feb"."""
    return f"{day.day} {MONTHS[day.month - 1]}"
