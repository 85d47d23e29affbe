"""Sends what is news, once, and tries again for people whom it did not reach."""

import json
from collections.abc import Callable, Mapping
from typing import Any

from winterrisk.course import Course
from winterrisk.reports.news import is_news, said_of
from winterrisk.reports.send_night import send_night
from winterrisk.reports.write_night import as_json

NAME = "message.json"
"""Beside the nights: the calls of the last message, and the people whom it has not reached yet."""

Night = Mapping[str, Any]


def send_news(course: Course, night: Night, tell: Callable[[str], None]) -> tuple[str, ...]:
    """Send the night's words where they are news (`is_news`); names that were not reached.

    A person whom the last message did not reach gets the words of this night even where it has no news.
    """
    kept = course.folder / "nights" / NAME
    last = json.loads(kept.read_text(encoding="utf-8")) if kept.exists() else {}
    said = said_of(night)
    news = is_news(said, last)
    owed = None if news else last.get("unreached", [])
    if owed == [] or not any(person.address and not person.second for person in course.people):
        return ()
    unreached = send_night(course, night, owed)
    kept.write_text(as_json(said | {"unreached": list(unreached)}), encoding="utf-8")
    for name in unreached:
        tell(
            f"no message reached {name}: check the address in course.toml and the network; "
            "alert.txt has the text, and the next run tries again"
        )
    return unreached
