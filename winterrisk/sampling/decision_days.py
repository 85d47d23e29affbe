"""The days by which a decision has to be taken."""

import datetime as dt

from winterrisk.course import Course, winter_end, winter_of, winter_start

SPRING = (4, 1)
"""1 April: by then a winter's harm is done nearly everywhere (judged)."""
SHORT_LOOK_AHEAD = 10
ONE_DAY = dt.timedelta(days=1)


def decision_days(course: Course, on: dt.date) -> tuple[dt.date, ...]:
    """Days after `on` for which chances are worked, in order; the last is as far as a night looks ahead.

    Seed order, sod order and 1 April while they lie ahead, and always the tenth day from `on`; none beyond
    the end of the winter.
    """
    winter = winter_of(on)
    spring = dt.date(winter_start(winter).year + 1, *SPRING)
    dates = {course.calendar.on(name, winter) for name in ("seed_order", "sod_order")} | {spring}
    ahead = {d for d in dates if d > on} | {on + dt.timedelta(days=SHORT_LOOK_AHEAD)}
    return tuple(sorted({min(d, _last_day(winter)) for d in ahead}))


def cutting_days(on: dt.date) -> tuple[dt.date, ...]:
    """Days of the coming week on which plugs might better be cut than tonight: the second and the fifth (judged)."""
    last = _last_day(winter_of(on))
    return tuple(sorted({min(on + dt.timedelta(days=lead), last) for lead in (2, 5)}))


def speaks_until(course: Course, on: dt.date) -> dt.date:
    """The day that chances 'by then' are told for: 1 April while it lies ahead, else ten days on."""
    winter = winter_of(on)
    spring = dt.date(winter_start(winter).year + 1, *SPRING)
    return spring if spring > on else min(on + dt.timedelta(days=SHORT_LOOK_AHEAD), _last_day(winter))


def _last_day(winter: str) -> dt.date:
    """29 June: the last day that ends within a winter on the clock of every place."""
    return winter_end(winter) - ONE_DAY
