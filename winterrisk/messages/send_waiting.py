"""Everything that waits in the outbox is sent, noted, tried again later, or given up with a notice."""

import datetime as dt
import time
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from winterrisk.book import Record
from winterrisk.course import Course
from winterrisk.course.addresses import address_fault
from winterrisk.course.read_secrets import filled_address
from winterrisk.course.sections import Person
from winterrisk.messages.message import Message
from winterrisk.messages.quiet_hours import after_quiet
from winterrisk.messages.send_message import NotSentError, send_message
from winterrisk.messages.wanted import LASTS, Wanted, to_second, wanted
from winterrisk.messages.write_outbox import WAITING, Kept, Outbox, open_outbox, pause_after
from winterrisk.reports.words import BODY_LENGTH, HEADLINE_LENGTH, day_in_words, seven_bit, shortened
from winterrisk.science.faults import Fault, Refused

Tell = Callable[[str], None]
PAUSES: Final = [0.5, 2.0]
"""Pauses before the second and third try within one run [s], where a fault may pass (judged)."""


@dataclass(frozen=True)
class Post:
    """What came of a run: messages sent, failed, failed before and not tried now, waiting for their hour, given up."""

    sent: tuple[Kept, ...] = ()
    failed: tuple[Kept, ...] = ()
    resting: tuple[Kept, ...] = ()
    later: tuple[Kept, ...] = ()
    expired: tuple[Kept, ...] = ()

    @property
    def undelivered(self) -> bool:
        """Whether a message failed and is not there yet, or will never arrive."""
        return bool(self.failed or self.resting or self.expired)


def send_messages(
    course: Course,
    night: Mapping[str, Any],
    record: Record,
    now: np.datetime64,
    tell: Tell,
    *,
    worked: Collection[str] = (),
    tonight: bool = True,
    allow_local: bool = False,
) -> Post:
    """Write the night's messages to the outbox, then send all that wait; nothing where nobody has an address.

    Args:
        record: the book as known by `now` [UTC]. worked: dates of the nights that are written. tonight: False for
            a night of another day that somebody wants sent. allow_local: also unencrypted posts, other services
            of the notification library, and hosts of the own network.
    Raises:
        OutboxError: the outbox cannot be used.
    """
    if not any(person.address for person in course.people):
        return Post()
    with open_outbox(course.folder, course.id) as outbox:
        expired = _given_up(course, outbox, now, tell)
        outbox.put(wanted(Wanted(course, night, record, outbox.kept(), now, worked, tonight)), now)
        return _send(course, outbox, now, tell, allow_local, expired, at_once=True)


def send_waiting(
    course: Course, record: Record, now: np.datetime64, tell: Tell, *, allow_local: bool = False
) -> Post:
    """Send what waits and is due for a try, and ask the second contact where nobody answered.

    Args:
        record: the book as known by `now` [UTC]. allow_local: as for `send_messages`.
    Raises:
        OutboxError: the outbox cannot be used.
    """
    with open_outbox(course.folder, course.id) as outbox:
        expired = _given_up(course, outbox, now, tell)
        kept = outbox.kept()
        outbox.put(to_second(Wanted(course, {"on": _today(now, course)}, record, kept, now)), now)
        return _send(course, outbox, now, tell, allow_local, expired, at_once=False)


def _today(now: np.datetime64, course: Course) -> str:
    from zoneinfo import ZoneInfo

    instant: dt.datetime = now.astype("datetime64[s]").item().replace(tzinfo=dt.UTC)
    return instant.astimezone(ZoneInfo(course.timezone)).date().isoformat()


def _send(
    course: Course,
    outbox: Outbox,
    now: np.datetime64,
    tell: Tell,
    allow_local: bool,
    expired: tuple[Kept, ...],
    *,
    at_once: bool,
) -> Post:
    """Send what waits; with `at_once` also what failed a short time ago. expired: what this run gave up."""
    people = {person.name: person for person in course.people}
    sent, failed, resting, later = list[Kept](), list[Kept](), list[Kept](), list[Kept]()
    for row in outbox.kept():
        if row.state != WAITING:
            continue
        if row.not_before > now:
            later.append(row)
            continue
        if row.next_try > now and not at_once:
            resting.append(row)
            continue
        person = people.get(row.recipient)
        fault = _tried(row, person, outbox, now, allow_local)
        if fault is None:
            sent.append(row)
            continue
        quiet = person.quiet if person else ""
        again = after_quiet(now + pause_after(row.tries + 1), quiet, course.timezone)
        outbox.failed(row.id, fault.found, again)
        failed.append(row)
        tell(
            f"no message reached {row.recipient} ({fault.found}): {fault.next_move}; "
            "alert.txt has the text, and the next run tries again"
        )
    return Post(tuple(sent), tuple(failed), tuple(resting), tuple(later), expired)


def _tried(
    row: Kept, person: Person | None, outbox: Outbox, now: np.datetime64, allow_local: bool
) -> Fault | None:
    """Why a message did not go, after the tries of one run, and what to do; None where it went and is noted as sent."""
    where, usual = f"people {row.recipient}", "check the address in course.toml and the network"
    if person is None or not person.address:
        outbox.began(row.id)
        return Fault(where, "nobody of that name has an address", "", "write it into course.toml")
    try:
        address = filled_address(person.address)
    except Refused as refused:
        outbox.began(row.id)
        return _plain(refused.faults[0])
    if wrong := address_fault(address, allow_local=allow_local, who=person.name):
        outbox.began(row.id)
        return _plain(wrong)
    for pause in (*PAUSES, None):
        outbox.began(row.id)
        try:
            send_message(row, address, lambda: outbox.arrived(row.id, now))
        except NotSentError as fault:
            if pause is None or not fault.soon:
                return Fault(where, seven_bit(str(fault)), "", usual)
            time.sleep(pause)
        except Exception as fault:  # whatever a notification library does must not stop the others' messages
            return Fault(where, f"a fault of the notification library, {type(fault).__name__}", "", usual)
        else:
            return None
    return None


def _plain(fault: Fault) -> Fault:
    """The fault of an address in plain letters; of a secret with its name."""
    secret = f"{fault.where}: " if fault.where.startswith("secret") else ""
    return Fault(fault.where, seven_bit(f"{secret}{fault.found}"), "", seven_bit(fault.next_move))


def _given_up(course: Course, outbox: Outbox, now: np.datetime64, tell: Tell) -> tuple[Kept, ...]:
    """Take out what can no longer go, and tell everybody else of it; both are one transaction."""
    late = tuple(row for row in outbox.kept() if row.state == WAITING and row.expires <= now)
    outbox.expire(late, _notices(course, late, now), now)
    for row in late:
        why = row.error or "it was never tried"
        tell(
            f"{row.recipient} never got the message of {row.night}, {row.headline[:60]!r} ({why}); it is given up"
        )
    return late


def _notices(course: Course, expired: Sequence[Kept], now: np.datetime64) -> list[Message]:
    """To everybody else: this person never got that message."""
    found = []
    for row in expired:
        if row.kind in ("undelivered", "digest"):
            continue
        day = day_in_words(dt.date.fromisoformat(row.night))
        words = f"{row.recipient} NEVER GOT the message of {day}: {row.headline}"
        headline = shortened(seven_bit(words), HEADLINE_LENGTH)
        body = shortened(seven_bit(row.body), BODY_LENGTH)
        ends = now + np.timedelta64(LASTS["undelivered"], "D")
        for person in course.people:
            if person.address and person.name != row.recipient:
                begins = after_quiet(now, person.quiet, course.timezone)
                about = {"of": row.id}
                found.append(
                    Message("undelivered", row.night, person.name, headline, body, about, begins, ends)
                )
    return found
