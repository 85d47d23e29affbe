"""What a crew of so many hours does today: most gain an hour first, what falls due or spoils before the rest."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

TRAVEL = 10
"""Minutes to get to a green (judged)."""


@dataclass(frozen=True)
class Task:
    """One thing to do today.

    minutes: person-minutes on the spot; gain: expected gain [currency]; deadline: last day it helps, None if any day
    is as good; why: in words.
    """

    what: str
    where: str
    minutes: int
    gain: float
    deadline: dt.date | None
    why: str


def work_list(tasks: Sequence[Task], hours: float, on: dt.date) -> tuple[list[Task], list[Task]]:
    """Tasks that fit into `hours` of the crew together, in order, and those that do not.

    What is due today or overdue comes first, then most gain an hour; a green is reached once.

    Args:
        hours: person-hours of the day; on: the day.
    """
    order = sorted(
        tasks,
        key=lambda t: (
            t.deadline is None or t.deadline > on,
            -t.gain / (t.minutes + TRAVEL),
            t.where,
            t.what,
        ),
    )
    left = 60.0 * hours
    done: list[Task] = []
    rest: list[Task] = []
    reached: set[str] = set()
    for task in order:
        green = task.where.rsplit(" ", 1)[0]
        needs = task.minutes + (0 if green in reached else TRAVEL)
        if needs <= left:
            left -= needs
            reached.add(green)
            done.append(task)
        else:
            rest.append(task)
    return done, rest
