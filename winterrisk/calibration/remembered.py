"""Remembered winters: what a course file says of earlier losses, as spring surveys one class wider."""

from bisect import bisect_right

import pandas as pd

from winterrisk.course import Course, winter_start
from winterrisk.risk.survey import SURVEY_CLASSES

REMEMBERED = "remembered"
"""First word of the id of a remembered winter."""
SPRING_DAY = (5, 15)
"""15 May: by then the spring survey is done (judged)."""


def wider_class(dead: float) -> tuple[float, float]:
    """Edges [1] of the survey class that a remembered dead share [1] lies in, one class wider on each side.

    Raises:
        ValueError: a share outside 0 to 1.
    """
    if not 0.0 <= dead <= 1.0:
        raise ValueError(f"remembered dead share {dead}: expected 0 to 1")
    last = len(SURVEY_CLASSES) - 1
    upper = min(bisect_right(SURVEY_CLASSES, dead), last)
    return SURVEY_CLASSES[max(upper - 2, 0)], SURVEY_CLASSES[min(upper + 1, last)]


def with_remembered(surveys: pd.DataFrame, course: Course) -> pd.DataFrame:
    """The book's surveys and, below them, a remembered one for each zone and winter that has none in the book.

    Args:
        surveys: table of the book. course: whose file has [[past_injury]].
    """
    there = set(zip(surveys["winter"], surveys["zone"], strict=True))
    rows = []
    for injury in course.past_injury:
        zone = course.zone_of(injury.area, injury.zone).label
        if (injury.winter, zone) in there:
            continue
        low, high = wider_class(injury.dead)
        rows.append(
            {
                "id": f"{REMEMBERED} {injury.winter} {zone}",
                "winter": injury.winter,
                "date": pd.Timestamp(winter_start(injury.winter).year + 1, *SPRING_DAY),
                "area": injury.area,
                "zone": zone,
                "species": "all",
                "dead_low": low,
                "dead_high": high,
            }
        )
    if not rows:
        return surveys
    added = pd.DataFrame(rows)
    return added if surveys.empty else pd.concat([surveys.astype({"id": object}), added], ignore_index=True)
