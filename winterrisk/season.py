"""The season told: what was said, done and found in a winter, what it cost, rebuilt from the course folder."""

import datetime as dt
import json
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Any

from winterrisk.backcast.season_replays import LEFT_OUT, season_replays, without_replays
from winterrisk.book import open_book
from winterrisk.course import read_course, winter_of, winter_start
from winterrisk.nightly import Tell
from winterrisk.reports.read_season import read_season
from winterrisk.reports.season_changes import season_changes
from winterrisk.reports.season_headlines import three_lines
from winterrisk.reports.season_page import season_page
from winterrisk.reports.season_record import season_record
from winterrisk.reports.season_tables import season_tables
from winterrisk.reports.write_night import as_json, written_nights
from winterrisk.reports.write_pdf import page_pdf
from winterrisk.reports.write_report import write_report
from winterrisk.reports.write_season import season_pictures
from winterrisk.reports.write_table import csv_text, no_workbooks, workbook
from winterrisk.science.faults import Fault, Refused
from winterrisk.thresholds import Thresholds

BESIDE = ("season.pdf", "season.xlsx")
"""Files written where they are asked for; one of an older report is taken away when the report changes."""


class NoSuchWinter(Refused):
    """A winter whose name cannot be read."""


@dataclass(frozen=True)
class Season:
    """A season told: the record, the page, the path of the page, three sentences.

    changes: what differs from the report that stood there before, in words; None where none did.
    printed_by: how the PDF was made, in words; empty where none was asked for.
    """

    record: dict[str, Any]
    page: str
    path: Path
    summary: tuple[str, str, str]
    changes: list[str] | None = None
    printed_by: str = ""


def run(
    course_dir: Path | str,
    winter: str,
    *,
    quick: bool = False,
    pdf: bool = False,
    xlsx: bool = False,
    tell: Tell = lambda line: None,
) -> Season:
    """The report of a winter such as "2024-25", written to reports/season-WINTER/ of the course folder.

    What the nights said is shown as it was said; of that nothing is worked again but the verdicts on plugs. The
    winter is replayed for what it cost and for what other thresholds would have said.

    Args:
        quick: leave the replays out, and with them days lost, other thresholds and past winters.
        pdf: the page as season.pdf as well. xlsx: the tables as season.xlsx as well.

    Raises:
        Refused: the winter's name, the course file, the book or the folder, or a library that is missing;
            nothing is written.
    """
    name = _winter(winter)
    course = read_course(course_dir)
    with open_book(course.folder, create=False, course=course) as book:
        rows = book.record()
    thresholds = Thresholds.read(course.folder)
    nights, left_out = said_nights(course.folder, name)
    record = season_record(
        course, rows, nights, name, thresholds, version=version("winterrisk"), left_out=left_out
    )
    more = without_replays(course, record, LEFT_OUT) if quick else season_replays(course.folder, record, tell)
    record |= more
    page = season_page(record, season_pictures(record))
    tables = season_tables(record)
    files: dict[str, str | bytes] = {"season.html": page, "season.json": as_json(record)}
    files |= {f"{table}.csv": csv_text(frame) for table, frame in tables.items()}
    if xlsx:
        try:
            files["season.xlsx"] = workbook(tables)
        except ImportError:
            raise no_workbooks("--xlsx", "or leave --xlsx out: the tables stand as .csv too") from None
    printed = page_pdf(page, record) if pdf else None
    if printed is not None:
        files["season.pdf"] = printed.content
    before = read_season(course.folder / "reports" / f"season-{name}")
    changes = None if before is None else season_changes(before, json.loads(as_json(record)))
    outdated = [] if changes == [] else [file for file in BESIDE if file not in files]
    folder = write_report(course.folder, f"season-{name}", files, outdated=outdated)
    how = printed.how if printed is not None else ""
    return Season(record, page, folder / "season.html", three_lines(record), changes, how)


def _winter(winter: str) -> str:
    try:
        winter_start(winter.strip())
    except ValueError:
        move = "write both years, the second with two digits"
        raise NoSuchWinter(Fault("winter", repr(winter), "a winter such as 2024-25", move)) from None
    return winter.strip()


def said_nights(folder: Path, winter: str) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    """What each night of a winter said first, in order; and what was left out.

    A run with hindsight knew what nobody knew that night; a later run of a date is not what was said that
    morning. Both are counted, and files that could not be read are named.
    """
    home = folder / "nights"
    dates = sorted(p.name for p in home.iterdir() if _is_in(p.name, winter)) if home.is_dir() else []
    nights: list[dict[str, Any]] = []
    later = hindsight = 0
    unreadable: list[str] = []
    for date in dates:
        first = None
        for run_folder in written_nights(folder, date):
            night = _night(run_folder)
            if night is None:
                unreadable.append(run_folder.relative_to(folder).as_posix() + "/night.json")
            elif night["hindsight"]:
                hindsight += 1
            elif first is None:
                first = night
            else:
                later += 1
        if first is not None:
            nights.append(first)
    return nights, {"later_runs": later, "hindsight_runs": hindsight, "unreadable": unreadable}


def _is_in(date: str, winter: str) -> bool:
    try:
        return winter_of(dt.date.fromisoformat(date)) == winter
    except ValueError:
        return False


def _night(run_folder: Path) -> dict[str, Any] | None:
    """A night's record with the version of its thresholds; None where the file is no record of a night."""
    night, used = _object(run_folder / "night.json"), _object(run_folder / "used.json")
    wanted = ("on", "version", "hindsight", "calls", "cannot_say", "data")
    if night is None or any(name not in night for name in wanted):
        return None
    return {**night, "thresholds": (used or {}).get("thresholds", "")}


def _object(path: Path) -> dict[str, Any] | None:
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return found if isinstance(found, dict) else None
