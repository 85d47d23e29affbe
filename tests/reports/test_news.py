"""What is sent as news, by the rule of the job: once a call, again when it is made again, never for a wobble."""

import json
from typing import Any

from winterrisk.reports.news import news_of, said_of


def night(
    on: str, *calls: tuple[str, str, str, str], danger: str = "", blind: bool = False
) -> dict[str, Any]:
    """A night's record as far as news goes; calls: kind, zone, night that first asked, day to do it by."""
    rows = [{"kind": k, "zone": z, "since": s, "by": b} for k, z, s, b in calls]
    notices = [{"kind": "cover_danger", "zone": danger, "text": "DANGER"}] if danger else []
    unsaid = [{"zone": "7 low", "why": "no data"}] if blind else []
    return {"on": on, "calls": rows, "cannot_say": unsaid, "data": {"notices": notices}}


def told(*nights: dict[str, Any]) -> list[str]:
    """Dates of the nights that are news, in order."""
    last: dict[str, Any] = {}
    sent = []
    for one in nights:
        said = said_of(one)
        if news_of(said, last):
            last = json.loads(json.dumps(said))
            sent.append(one["on"])
    return sent


PULL = ("pull", "7 low", "2025-02-10", "2025-02-11")
LOOK = ("look", "2 dam", "2025-02-10", "2025-02-11")


def test_a_call_goes_out_once_while_it_stands() -> None:
    assert told(night("2025-02-10", PULL, LOOK), night("2025-02-11", PULL, LOOK)) == ["2025-02-10"]


def test_a_call_made_again_is_another() -> None:
    again = ("pull", "7 low", "2025-02-20", "2025-02-21")
    assert told(night("2025-02-10", PULL), night("2025-02-14"), night("2025-02-20", again)) == [
        "2025-02-10",
        "2025-02-20",
    ]


def test_a_call_that_is_over_is_no_news_one_taken_back_before_its_day_is() -> None:
    assert told(night("2025-02-10", PULL), night("2025-02-12")) == ["2025-02-10"]
    early = ("pull", "7 low", "2025-02-15", "2025-02-18")
    assert told(night("2025-02-15", early), night("2025-02-16")) == ["2025-02-15", "2025-02-16"]


def test_a_cover_that_is_a_danger_is_news_on_a_quiet_night_and_once() -> None:
    quiet = night("2025-01-03")
    assert told(quiet, night("2025-01-04", danger="4 low"), night("2025-01-05", danger="4 low")) == [
        "2025-01-04"
    ]


def test_every_night_without_data_is_news_and_that_they_are_back() -> None:
    blind = [night(f"2025-01-0{d}", blind=True) for d in (3, 4)]
    assert told(*blind, night("2025-01-05")) == ["2025-01-03", "2025-01-04", "2025-01-05"]


def test_a_file_of_an_older_form_is_no_stumbling_block() -> None:
    older = {"on": "2025-02-09", "calls": [["pull", "7 low"]], "cannot_say": []}
    assert news_of(said_of(night("2025-02-10", PULL)), older) == {"call"}
    assert not news_of(said_of(night("2025-02-10")), older)
