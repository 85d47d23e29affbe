"""Hours of work, and the days a crew needs for them."""

from math import ceil

from winterrisk.course import Course


def workdays_needed(course: Course, hours: float) -> int:
    """Working days the winter crew needs for so many hours of work [d]; at least one for any work."""
    return ceil(hours / (course.crew.people * course.crew.hours)) if hours > 0 and course.crew.hours else 0
