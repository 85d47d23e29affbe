"""Hours of work, and the days a crew needs for them."""

import datetime as dt
from math import ceil

from winterrisk.course import Course

NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def workdays_needed(course: Course, hours: float) -> int:
    """Working days the winter crew needs for so many hours of work [d]; at least one for any work."""
    return ceil(hours / (course.crew.people * course.crew.hours)) if hours > 0 and course.crew.hours else 0


def next_crew_day(course: Course, day: dt.date) -> dt.date:
    """The first day from `day` on which somebody works."""
    return next(
        d
        for d in (day + dt.timedelta(days=i) for i in range(8))
        if NAMES[d.weekday()] in course.crew.days or not course.crew.days
    )
