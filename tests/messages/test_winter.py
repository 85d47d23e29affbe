"""A whole winter of nights by a simulated clock, against weather and message servers on this machine.

`pytest -m slow tests/messages/test_winter.py` works all 212 nights twice, the second time with three requests of
ten failing; without it some weeks of the latter are worked.
"""

import datetime as dt
import json
import os
import sys
import time
from collections import Counter
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
from meteostat_server import Asked, running_server
from post_office import Letter, PostOffice, person
from small_courses import COURSE
from weather_office import STATION, WeatherOffice, weather_office

from winterrisk import nightly
from winterrisk.messages import Kept, open_outbox
from winterrisk.science.keyed import generator
from winterrisk.weather import get_answer
from winterrisk.weather.get_night_forecast import receive_forecast

SMALL = nightly.Settings(n_ground=2, n_paths=3, n_draws=20)
"""6 members and 20 draws, as two zones of one green."""
FIRST, NIGHTS = dt.date(2024, 10, 1), 212
SOME_FROM, SOME = dt.date(2025, 1, 15), 10
MISSED = (dt.date(2025, 1, 21), dt.date(2025, 1, 22))
"""Nights on which the machine was off; they are caught up without sending."""
AWAY = (dt.date(2025, 2, 3), dt.date(2025, 2, 8))
BUDGET = 14
TIMEZONE = "America/Winnipeg"
SERVED = """source = "meteostat"
since = 2023
""" + "".join(
    f'\n[[station.chosen]]\nvariable = "{name}"\nid = "{STATION}"\nname = "Invented Moor"\nlatitude = 46.6\n'
    "longitude = -95.0\nelevation = 378.0\ndistance_km = 1.0\n"
    for name in ("air_temperature", "relative_humidity", "precipitation", "wind_speed", "snow_depth")
)
FORECAST = '\n[forecast]\nsource = "MET Norway"\ncontact = "greens@small-moor.example"\n'


@pytest.fixture
def weather(sample: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[WeatherOffice]:
    """Both weather services, asked by a client whose clock is the simulated one and whose pauses cost nothing."""
    history: Asked = running_server()
    with weather_office(sample, np.datetime64("2024-10-01T10:10")) as office:
        history.frames[STATION] = office.measured
        history.fails = lambda: office.fails()
        slept = [0.0]
        pauses = SimpleNamespace(
            sleep=lambda s: slept.__setitem__(0, slept[0] + s), monotonic=lambda: time.monotonic() + slept[0]
        )
        monkeypatch.setattr(get_answer, "time", pauses)
        monkeypatch.setattr(get_answer, "_now", lambda: office.clock)
        monkeypatch.setattr(nightly, "receive_forecast", partial(receive_forecast, base=office.base))
        yield office
    history.frames.clear()
    history.fails = lambda: False


@pytest.fixture
def course(tmp_path: Path, office: PostOffice) -> Path:
    folder = tmp_path / "course"
    (folder / "inbox").mkdir(parents=True)
    before, _, after = COURSE.partition("[station]\n")
    text = before + "[station]\n" + SERVED + "\n[turf]" + after.partition("[turf]")[2] + FORECAST
    text += f'\n[away]\nstand_in = "Edda Thorn"\nperiods = [{{first = {AWAY[0]}, last = {AWAY[1]}}}]\n'
    text += person("Inga Varrow", office.address("inga")) + person("Club office", office.hook)
    text += person("Tobin Hale", office.address("tobin"), second=True, quiet="21:00-06:30")
    text += person("Edda Thorn", office.address("edda"), second=True, answer_within=90)
    (folder / "course.toml").write_text(text, encoding="utf-8")
    return folder


class Winter:
    """A winter that is lived through: nights, an hour in the morning, and answers to every second call."""

    def __init__(self, folder: Path, weather: WeatherOffice, office: PostOffice, share: float) -> None:
        self.folder, self.weather, self.office = folder, weather, office
        self.codes: Counter[int] = Counter()
        self.told: list[str] = []
        self.answered: set[str] = set()
        self.seconds = 0.0
        draw = generator("requests", share)
        if share:
            weather.fails = office.fails = lambda: bool(draw.random() < share)

    def live(self, first: dt.date, nights: int) -> None:
        """The nights one after another."""
        for day in (first + dt.timedelta(days=n) for n in range(nights)):
            if day in MISSED:
                continue
            self.weather.clock = utc(day, "04:10")
            for missed in [m for m in MISSED if m == day - dt.timedelta(days=len(MISSED)) and m >= first]:
                for n in range(len(MISSED)):
                    self.work(missed + dt.timedelta(days=n), send=False)
            self.work(None)
            self.weather.clock = utc(day, "07:00")
            self.codes[
                4 * nightly.send_waiting(self.folder, clock=self.weather.clock, allow_local=True).undelivered
            ] += 1
            self.answer(day)
        for hour in range(1, 40):
            if all(row.state != "waiting" for row in self.outbox()):
                break
            self.weather.clock = utc(day, "07:00") + np.timedelta64(hour, "h")
            nightly.send_waiting(self.folder, clock=self.weather.clock, allow_local=True)

    def work(self, on: dt.date | None, send: bool = True) -> None:
        began = time.perf_counter()
        night = nightly.run(
            self.folder,
            on,
            send,
            settings=SMALL,
            tell=self.told.append,
            clock=self.weather.clock,
            allow_local=True,
        )
        self.seconds += time.perf_counter() - began
        self.codes[night.exit_code] += 1

    def answer(self, day: dt.date) -> None:
        """An `ack` in the inbox in the afternoon for every second action message."""
        sent = [row.night for row in self.outbox() if row.kind == "action" and row.recipient == "Inga Varrow"]
        if sent and sent[-1] == day.isoformat() and len(sent) % 2:
            note = self.folder / "inbox" / f"{day}.txt"
            note.write_text("ack\n", encoding="utf-8")
            saved = float(utc(day, "15:00").astype("datetime64[s]").astype(int))
            os.utime(note, (saved, saved))
            self.answered.add(day.isoformat())

    def outbox(self) -> tuple[Kept, ...]:
        with open_outbox(self.folder, "small-moor", write=False) as outbox:
            return outbox.kept()

    def records(self) -> dict[str, dict]:
        nights = sorted(p for p in (self.folder / "nights").iterdir() if p.is_dir())
        return {p.name: json.loads((p / "night.json").read_text(encoding="utf-8")) for p in nights}

    def alert(self, on: str) -> str:
        return (self.folder / "nights" / on / "alert.txt").read_text(encoding="utf-8").partition("\n")[0]


def utc(day: dt.date, clock: str) -> np.datetime64:
    local = pd.Timestamp(f"{day} {clock}", tz=TIMEZONE)
    return np.datetime64(local.tz_convert("UTC").tz_localize(None), "s")


WHOLE = [
    pytest.param(FIRST, NIGHTS, share, marks=pytest.mark.slow, id=f"212 nights, {share:.0%} fail")
    for share in (0.0, 0.3)
]


@pytest.mark.parametrize(("first", "nights", "share"), [(SOME_FROM, SOME, 0.3), *WHOLE])
def test_a_winter_of_nights(
    course: Path, weather: WeatherOffice, office: PostOffice, first: dt.date, nights: int, share: float
) -> None:
    winter = Winter(course, weather, office, share)
    winter.live(first, nights)
    records, rows, letters = winter.records(), winter.outbox(), office.letters
    assert len(records) == nights, "nights that were missed are caught up"
    assert set(winter.codes) <= {0, nightly.CANNOT_SAY, nightly.UNDELIVERED}

    # The nights had weather: blind ones are those on which requests failed again and again.
    blind = {on for on, r in records.items() if r["cannot_say"]} - {d.isoformat() for d in MISSED}
    assert len(blind) <= 0.25 * share * nights + (3 if share else 0), sorted(blind)

    # Every message arrived, each once; what did not arrive gave way to a later one that did.
    assert Counter(row.state for row in rows).keys() <= {"sent", "replaced"}
    assert len({letter.id for letter in letters}) == len(letters) == sum(row.state == "sent" for row in rows)
    assert share > 0 or all(row.state == "sent" for row in rows)

    # Action messages: one for each night on which the planner asked for something new, on that night, to each.
    asked = [on for on, r in records.items() if any(c["since"] == on for c in r["calls"])]
    late = {d.isoformat() for d in MISSED}
    for name in ("inga", "hook"):
        got = [letter.headline for letter in office.to(name)]
        for on in asked:
            if on not in late and not replaced(rows, on):
                assert sum(head.endswith(winter.alert(on)) for head in got) == 1, (name, on)
    nights_told = [row.night for row in rows if row.kind == "action" and row.recipient == "Inga Varrow"]
    assert len(nights_told) == len(set(nights_told)) <= BUDGET and not late & set(nights_told)
    assert set(asked) - late <= set(nights_told)
    told = {(c["kind"], c["zone"], c["since"]) for row in rows if row.state == "sent" for c in said(row)}
    known = {(c["kind"], c["zone"], c["since"]) for r in records.values() for c in r["calls"]}
    over = {
        c
        for c in known
        if c[2] in late and not any(standing(r, c) for on, r in records.items() if on not in late)
    }
    assert known - over <= told, (
        "no call was kept from people, but for one that was over when the machine came back"
    )

    # The digest every Monday.
    mondays = [on for on in records if dt.date.fromisoformat(on).weekday() == 0]
    digests = Counter(row.night for row in rows if row.kind == "digest" and row.recipient == "Inga Varrow")
    assert sorted(digests) == mondays and set(digests.values()) == {1}
    assert all(
        "nights run" in letter.headline for letter in office.to("inga") if letter.headline.startswith("Week")
    )

    # The second contact is asked where nobody answered, and only there; the stand-in is told on days away.
    unanswered = {
        row.about["of"] for row in rows if row.kind == "unanswered" and row.recipient == "Tobin Hale"
    }
    assert not unanswered & winter.answered
    asked_about = Counter((row.recipient, row.about["of"]) for row in rows if row.kind == "unanswered")
    assert set(asked_about.values()) <= {1}
    edda = {row.night for row in rows if row.recipient == "Edda Thorn" and row.kind != "undelivered"}
    assert {on for on in edda if not AWAY[0].isoformat() <= on <= AWAY[1].isoformat()} <= {
        row.night for row in rows if row.kind == "unanswered"
    }
    assert len(winter.answered) >= 1 and all(len(x.headline) <= 160 and x.headline.isascii() for x in letters)
    assert all(len(x.body) <= 600 for x in letters)
    report(winter, rows, letters, share, nights)


def said(row: Kept) -> list[dict[str, str]]:
    return row.about["said"]["calls"] if "said" in row.about else []


def standing(record: dict, call: tuple[str, str, str]) -> bool:
    return any((c["kind"], c["zone"], c["since"]) == call for c in record["calls"])


def replaced(rows: tuple[Kept, ...], night: str) -> bool:
    """Whether a message of a night gave way to a later one before it could be delivered."""
    return any(row.night == night and row.state == "replaced" for row in rows)


def report(winter: Winter, rows: tuple[Kept, ...], letters: list[Letter], share: float, nights: int) -> None:
    """One line with the figures."""
    mine = Counter(row.kind for row in rows if row.recipient == "Inga Varrow")
    tries = sum(row.tries for row in rows)
    print(
        f"{nights} nights, {share:.0%} failing: {len(letters)} messages for {tries} tries, of them for the first "
        f"contact {dict(mine)}; exit codes {dict(winter.codes)}; {winter.seconds / nights:.2f} s a night",
        file=sys.stderr,
    )
