"""Who is told first on a date, and who is asked when the first do not answer."""

import datetime as dt

from winterrisk.course import Course
from winterrisk.course.sections import Person


def first_contacts(course: Course, on: dt.date) -> list[Person]:
    """People with an address who are told first: on days away the stand-in is among them.

    Where every address belongs to a second contact, these are the first.
    """
    reachable = [person for person in course.people if person.address]
    first = [p for p in reachable if not p.second or p.name == _stand_in(course, on)]
    return first or reachable


def second_contacts(course: Course, on: dt.date) -> list[Person]:
    """People with an address who are asked when the first do not answer."""
    told = {person.name for person in first_contacts(course, on)}
    return [p for p in course.people if p.address and p.name not in told and p.second]


def _stand_in(course: Course, on: dt.date) -> str | None:
    away = any(absence.first <= on <= absence.last for absence in course.away.periods)
    return course.away.stand_in if away else None
