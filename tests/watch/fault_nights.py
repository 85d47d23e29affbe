"""Nights with faults drawn at random from what services, files and disks are known to do, and what must then hold.

Two services stand on this machine and fail for real: the open weather history and the free forecasts. The third table
is what happens to the files of a course. What is said goes to a person by a real post, to a receiver on this machine.
Everything is keyed by the number of the night, so each can be run again.
"""

import datetime as dt
import functools
import json
import random
import resource
import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "weather"))
sys.path.insert(0, str(Path(__file__).parents[1] / "messages"))
from meteostat_server import Asked
from post_office import Letter, PostOffice, person
from tests_forecast_server import Service, grid_answer, layer, series_answer

from winterrisk import nightly
from winterrisk.cli.last_words import storage_fault
from winterrisk.science.faults import Refused
from winterrisk.watch.read_log import read_log

SCHEDULED = np.datetime64("2025-02-25T10:10:00")
"""04:10 in Winnipeg, as a schedule has it."""
HOUR, DAY = np.timedelta64(1, "h"), np.timedelta64(1, "D")
QUICK = nightly.Settings(n_ground=1, n_paths=2, n_draws=10)
COURSE = """# Invented course, people and weather.
[place]
name = "Moor Links"
latitude = 46.6
longitude = -95.0
elevation = 380
timezone = "America/Winnipeg"
invented = true

[[areas]]
name = "1"
zones = [{name = "low", template = "low spot"}, {name = "ridge", template = "ridge"}]

[gauge]
kind = "heated"

[station]
source = "meteostat"
since = 2024
"""
VARIABLES = ("air_temperature", "precipitation", "wind_speed", "relative_humidity", "snow_depth")

NOTHING_COMES = (
    "S404", "S500", "S503", "RESET", "CUT", "SHORT", "HEADER", "EMPTY", "HTML", "HANG", "NOSOURCE",
)  # fmt: skip
"""What the history answers: none of these brings a measured value."""
NOT_MEASURED = ("MODEL", "STOPS")
"""Values come, but none of the last five days is a measurement."""
SOMETHING_COMES = ("GOOD1", "NOCELL", "CHANGES", "IMPOSSIBLE", "TWICE", "HOLES", "UNHEARD")
FORECAST_FAULTS = ("expired", "500", "429", "429 for long", "page", "cut", "hang", "away")
FORECAST_ANSWERS = ("good", "stale", "nulls", "empty", "other form", "a list", "no times", "huge numbers")
FILE_FAULTS = (
    "an outbox that is none", "a note of nonsense", "a note of bytes", "a course file cut short",
    "a course file of bytes", "thresholds cut", "a book that is none", "an archive that is none", "a file for nights",
    "a disk that is full", "last night cut", "a folder as a note", "a log of bytes",
)  # fmt: skip


@dataclass
class Fault:
    """What was wrong on a night."""

    history: str = "GOOD1"
    age: int | None = 1
    forecast: str = "none"
    answers: tuple[str, ...] = ()
    files: tuple[str, ...] = ()
    size: int = 0


@dataclass
class Ended:
    """How a night ended: exit code as the command line has it, what was said on the screen and to the person, the night
    where there is one."""

    exit: int
    told: list[str] = field(default_factory=list)
    night: nightly.Night | None = None
    letters: list[Letter] = field(default_factory=list)
    crash: str = ""


def drawn(number: int) -> Fault:
    """The faults of a night, by its number."""
    pick = random.Random(f"fault night {number}")
    fault = Fault(age=pick.choice((None, 1, 1, 2, 4)))
    groups = [*SOMETHING_COMES, *NOT_MEASURED, *NOTHING_COMES, *NOTHING_COMES]
    if pick.random() < 0.75:
        fault.history = pick.choice(groups)
    if pick.random() < 0.5:
        fault.forecast = pick.choice(("US NWS", "MET Norway"))
        fault.answers = (pick.choice(FORECAST_FAULTS if pick.random() < 0.6 else FORECAST_ANSWERS),)
    round_of_five, place = divmod(number, 5)
    if place < 2:  # two nights of five; each fault in its turn, so that a few nights have them all
        first = FILE_FAULTS[(2 * round_of_five + place) % len(FILE_FAULTS)]
        others = [name for name in FILE_FAULTS if name != first]
        fault.files = (first, *pick.sample(others, pick.choice((0, 0, 1))))
        fault.size = pick.choice((0, 100, 4096, 20_000, 60_000, 150_000))
    return fault


class Places:
    """Course folders as they were left 1, 2 or 4 days before, made once and copied for each night."""

    def __init__(self, home: Path, served: Asked, service: Service, office: PostOffice) -> None:
        self.home, self.served, self.service, self.office = home, served, service, office
        served.often_wet = True

    def folder(self, age: int | None, target: Path) -> Path:
        """A copy of the course as it was left so many days ago; None: never worked."""
        made = self.home / f"left {age}"
        if not made.exists():
            made.mkdir()
            chosen = "".join(
                f'\n[[station.chosen]]\nvariable = "{name}"\nid = "GOOD1"\nname = "Middle Moor"\nlatitude = 46.6\n'
                "longitude = -95.0\nelevation = 380.0\ndistance_km = 5.0\n"
                for name in VARIABLES
            )
            people = person("Inga Varrow", self.office.hook)
            (made / "course.toml").write_text(COURSE + chosen + people, encoding="utf-8")
            if age is not None:
                self.served.acts_as = ""
                nightly.run(made, clock=SCHEDULED - age * DAY, send=False, settings=QUICK)
        return Path(shutil.copytree(made, target))


def planted(folder: Path, fault: Fault, pick: random.Random) -> None:
    """Do to the files of the course what the fault says."""
    spoilt: dict[str, Callable[[], object]] = {
        "a note of nonsense": lambda: _note(
            folder, b"4 low ise 99 parsecs\n=cmd|'/c calc'!A1\n<script>x</script>\n"
        ),
        "a note of bytes": lambda: _note(folder, pick.randbytes(500)),
        "a course file cut short": lambda: _cut(folder / "course.toml", 0.4),
        "a course file of bytes": lambda: (folder / "course.toml").write_bytes(pick.randbytes(300)),
        "thresholds cut": lambda: (folder / "thresholds.toml").write_text(
            'version = "1"\n[values]\ncold', "utf-8"
        ),
        "a book that is none": lambda: (folder / "book.sqlite").write_bytes(pick.randbytes(4096)),
        "an archive that is none": lambda: _archive(folder, pick.randbytes(4096)),
        "a file for nights": lambda: _file_for_nights(folder),
        "last night cut": lambda: [_cut(p, 0.5) for p in folder.glob("nights/*/night.json")],
        "a folder as a note": lambda: (folder / "inbox" / "note.txt").mkdir(parents=True),
        "a log of bytes": lambda: _written(folder / "nights" / "log.csv", pick.randbytes(300)),
        "an outbox that is none": lambda: (folder / "outbox.sqlite").write_bytes(pick.randbytes(4096)),
        "a disk that is full": lambda: None,
    }
    for name in fault.files:
        spoilt[name]()
    if fault.forecast != "none":
        text = f'\n[forecast]\nsource = "{fault.forecast}"\ncontact = "keeper@example.invalid"\n'
        with (folder / "course.toml").open("ab") as file:
            file.write(text.encode())


def _written(path: Path, content: bytes) -> None:
    if path.parent.is_dir():
        path.write_bytes(content)


def _note(folder: Path, content: bytes) -> None:
    (folder / "inbox").mkdir(exist_ok=True)
    _written(folder / "inbox" / "phone.txt", content)


def _archive(folder: Path, content: bytes) -> None:
    (folder / "weather").mkdir(exist_ok=True)
    for path in (folder / "weather").glob("archive.sqlite*"):
        path.unlink()
    (folder / "weather" / "archive.sqlite").write_bytes(content)


def _file_for_nights(folder: Path) -> None:
    shutil.rmtree(folder / "nights", ignore_errors=True)
    (folder / "nights").write_text("mine", encoding="utf-8")


def _cut(path: Path, share: float) -> None:
    content = path.read_bytes()
    path.write_bytes(content[: round(share * len(content))])


def answering(service: Service, fault: Fault) -> None:
    """Set the forecast service to its fault."""
    first, issued = SCHEDULED.astype("datetime64[h]"), SCHEDULED - HOUR
    kind = fault.answers[0] if fault.answers else "good"
    service.faults[:] = [kind] * 6 if kind in FORECAST_FAULTS else []
    if kind == "stale":
        issued = SCHEDULED - 9 * DAY
    value: Any = {"nulls": None, "huge numbers": 1e300}.get(kind, -5.0)
    service.grid = grid_answer(
        first, issued, temperature=layer(first, [(168, value)], "wmoUnit:degC"),
        quantitativePrecipitation=layer(first, [(72, 0.0 if value == -5.0 else value)], "wmoUnit:mm"),
    )  # fmt: skip
    service.series = series_answer(first, issued)
    rows = service.series["properties"]["timeseries"]
    if kind in ("nulls", "huge numbers"):
        for row in rows:
            row["data"]["instant"]["details"]["air_temperature"] = value
    if kind == "no times":
        service.grid["properties"]["temperature"]["values"][0]["validTime"] = "yesterday"
        rows[0]["time"] = "yesterday"
    if kind == "empty":
        service.grid, service.series = {"properties": {}}, {"properties": {"timeseries": []}}
    if kind == "other form":
        service.grid, service.series = {"properties": {"temperature": 3}}, {"properties": [1]}
    if kind == "a list":
        service.grid, service.series = [1, 2], [[]]  # type: ignore[assignment]


def worked(number: int, places: Places, target: Path) -> tuple[Fault, Ended]:
    """Work the night of a number; how it ended."""
    fault = drawn(number)
    pick = random.Random(f"bytes of night {number}")
    folder = places.folder(fault.age, target)
    planted(folder, fault, pick)
    answering(places.service, fault)
    places.served.acts_as, places.served.changed = fault.history, True
    told: list[str] = []
    letters = places.office.letters
    letters.clear()
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    if "a disk that is full" in fault.files:
        resource.setrlimit(resource.RLIMIT_FSIZE, (fault.size, hard))
    try:
        night = nightly.run(
            folder, clock=SCHEDULED, send=True, settings=QUICK, tell=told.append, allow_local=True
        )
        return fault, Ended(night.exit_code, told, night, list(letters))
    except Refused as refusal:
        return fault, Ended(2, [*told, *str(refusal).splitlines()])
    except Exception as wrong:
        storage = storage_fault(wrong)
        if storage is not None:
            return fault, Ended(2, [*told, str(storage)])
        return fault, Ended(1, told, crash=f"{type(wrong).__name__}: {wrong}")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        places.served.acts_as = ""


def broken_laws(fault: Fault, ended: Ended, folder: Path) -> list[str]:
    """What does not hold of a night that ended so; empty where all does."""
    laws = []
    if ended.crash or ended.exit not in (0, 2, 3, 4):
        return [f"crashed: {ended.crash or ended.exit}"]
    said = "\n".join(ended.told)
    if "Traceback" in said or any(not line.strip() for line in ended.told):
        laws.append("a message that is none")
    if ended.exit == 2:
        last = ended.told[-1] if ended.told else ""
        if ": found " not in last or "; " not in last:
            laws.append(f"refused without a next move: {last!r}")
        if ended.letters:
            laws.append("refused, and yet something was sent")
        return laws
    night = ended.night
    assert night is not None
    lasting = (
        (fault.age or 99) if fault.history in NOTHING_COMES else (5 if fault.history in NOT_MEASURED else 0)
    )
    if fault.history in NOT_MEASURED and fault.age is not None:
        lasting = min(lasting, fault.age)
    if lasting >= 2 and not (ended.exit in (3, 4) and night.record["cannot_say"]):
        laws.append(f"a silent all-clear: weather is {lasting} days old, exit {ended.exit}")
    if fault.history == "GOOD1" and night.record["data"]["age_hours"] > 2:
        laws.append("fresh weather came and was not used")
    if night.record["cannot_say"]:
        if ended.exit not in (3, 4):
            laws.append("cannot say, but the exit code does not tell")
        if "CANNOT SAY" not in night.alert or "no all-clear" not in night.alert:
            laws.append("cannot say, but the message does not tell")
        if "Nothing to do" in night.alert:
            laws.append("cannot say, but nothing to do")
    silent = fault.history in ("S500", "S503", "RESET", "CUT", "SHORT", "HTML", "HANG")
    if silent and not any("Middle Moor" in line or "online history" in line for line in ended.told):
        laws.append(f"nobody told that the history failed ({fault.history})")
    if (
        fault.answers
        and fault.answers[0] in FORECAST_FAULTS
        and not any("forecast" in row for row in ended.told)
    ):
        laws.append(f"nobody told that the forecast failed ({fault.answers[0]})")
    full = "a disk that is full" in fault.files
    laws += _broken_laws_of_messages(fault, ended, night, full)
    if not full:
        if read_log(folder)[-1].exit != ended.exit:
            laws.append("the log has another exit code")
        files = {p.name for p in (folder / "nights" / "2025-02-25").iterdir()}
        if files != {"alert.txt", "night.json", "page.html", "used.json"}:
            laws.append(f"a night in parts: {sorted(files)}")
        kept = json.loads((folder / "nights" / "2025-02-25" / "night.json").read_text(encoding="utf-8"))
        if kept != night.record or dt.date.fromisoformat(kept["on"]) != dt.date(2025, 2, 25):
            laws.append("the night kept is not the night said")
    return laws


def _broken_laws_of_messages(fault: Fault, ended: Ended, night: nightly.Night, full: bool) -> list[str]:
    """What does not hold of the messages of a night: all that was said arrived once, or exit 4 and words tell of it."""
    heads = [letter.headline for letter in ended.letters]
    if "an outbox that is none" in fault.files:
        told = [row for row in ended.told if row.startswith("no message was sent: ") and "outbox" in row]
        ok = ended.exit == 4 and len(told) == 1 and "; " in told[0] and not heads
        return [] if ok else [f"a damaged outbox: exit {ended.exit}, {told}, {heads}"]
    if ended.exit == 4:
        told = [row for row in ended.told if row.startswith("no message ")]
        return [] if full and told else [f"exit 4 with a receiver that takes everything: {ended.told}"]
    said = night.record["calls"] or night.record["cannot_say"]
    head = night.alert.partition("\n")[0]
    if sum(one.endswith(head) for one in heads) != bool(said):
        return [f"said and sent are not the same: {head!r}, {heads}"]
    return [] if len(set(heads)) == len(heads) else [f"sent twice: {heads}"]


def pointed_at(monkeypatch: Any, service: Service) -> None:
    """Point the course's forecasts at the service on this machine, and shorten what is waited for."""
    from winterrisk.weather import get_forecast, get_meteostat, get_night_forecast

    short = {"read_timeout": 0.3, "first_pause": 0.02}
    monkeypatch.setattr(get_forecast, "get_nws", functools.partial(get_forecast.get_nws, **short))
    monkeypatch.setattr(
        get_forecast, "get_met_norway", functools.partial(get_forecast.get_met_norway, **short)
    )
    monkeypatch.setattr(get_night_forecast, "LEAST_PATIENCE", 0.1)
    monkeypatch.setattr(get_night_forecast, "MOST_PATIENCE", 0.1)
    monkeypatch.setattr(get_meteostat.get_history, "__kwdefaults__", {"wanted": (), "timeout": 0.4})
    ask = functools.partial(nightly.receive_forecast, base=service.base)
    monkeypatch.setattr(nightly, "receive_forecast", ask)
