"""Adopts thresholds for a course, and takes an adoption back: files, versions and the book's trail."""

import datetime as dt
from pathlib import Path

from winterrisk.book import Book, open_book
from winterrisk.calibration.proposal import Adoptable, with_trail
from winterrisk.calibration.read_edited import read_edited
from winterrisk.calibration.write_pair import (
    NOTHING,
    Pair,
    finish_broken_switch,
    pair_in,
    pair_of,
    switch,
    write_folder,
)
from winterrisk.science.faults import Fault, Refused
from winterrisk.thresholds import Thresholds, ThresholdsError
from winterrisk.thresholds.read_thresholds import NAME, VERSIONS, draws_hash, version_folder
from winterrisk.thresholds.thresholds import DEFAULTS

BY_HAND = "by-hand"
"""Beginning of the name under which a file changed by hand is put aside."""


class AdoptionError(Refused):
    """Thresholds that are not adopted, or an adoption that cannot be taken back."""


def adopt(
    fit: Adoptable, dir: Path | str, who: str, why: str, *, on: dt.date | None = None, override: str = ""
) -> Thresholds:
    """Write proposed thresholds as the course's own; the new version.

    The version before stays under thresholds_versions/, and the book has a row of who, why and on what.

    Args:
        fit: a Fit, or a Proposal set by hand. dir: the course folder.
        who, why: the person and the reason; both are kept.
        on: date of the version's name; today (UTC) when left out.
        override: written reason to adopt in spite of the fit's refusals.
    Raises:
        AdoptionError: no who or why, a refused fit without an override, a folder that cannot be written.
        ThresholdsError: the thresholds that stand were changed by hand.
    """
    course = Path(dir)
    _check_words(who, why)
    if fit.refusals and not override.strip():
        move = "gather more, or adopt it all the same with --override and a written reason"
        raise AdoptionError(Fault("fit", reason, "evidence that carries it", move) for reason in fit.refusals)
    day = on or dt.datetime.now(dt.UTC).date()
    try:
        finish_broken_switch(course)
        before = Thresholds.read(course)
        name = _next_name(course, day.isoformat())
        version = with_trail(
            fit,
            name,
            adopted=day.isoformat(),
            who=who.strip(),
            why=why.strip(),
            before=before.version,
            override=override.strip() if fit.refusals else "",
        )
        pair = pair_of(version)
        with open_book(course) as book:
            _keep(course, before)
            write_folder(version_folder(course, name), pair)
            switch(course, before.version, pair)
            _note(book, name, pair, version, who, why, day)
    except OSError as error:
        raise _unwritable(course, error) from None
    return Thresholds.read(course)


def adopt_by_hand(dir: Path | str, who: str, why: str, *, on: dt.date | None = None) -> Thresholds:
    """Take over a thresholds.toml that a person changed, as a version with a name, an author and a reason.

    The changed files are put aside under thresholds_versions/; the new version stands over the one adopted last.

    Raises:
        AdoptionError: no who or why, a file that was not changed, a folder that cannot be written.
        ThresholdsError: an unknown name or an impossible value; nothing was adopted.
    """
    course = Path(dir)
    _check_words(who, why)
    finish_broken_switch(course)
    try:
        standing = Thresholds.read(course)
    except ThresholdsError:
        with open_book(course) as book:
            target = _last_adopted(course, book)
    else:
        found = f"{standing.version}, as it was adopted"
        raise AdoptionError(
            Fault(NAME, found, "a file changed by hand", "leave --by-hand out, or change it first")
        )
    before = Thresholds.defaults() if target == DEFAULTS else Thresholds.read(version_folder(course, target))
    proposal = read_edited(course, before, why)
    undo(course, who, f"put aside to be adopted by hand: {why.strip()}", on=on)
    return adopt(proposal, course, who, why, on=on)


def undo(dir: Path | str, who: str, why: str, *, on: dt.date | None = None) -> Thresholds:
    """Bring back the version before; the version that stands then.

    Where the thresholds were changed by hand, the version adopted last comes back and the changed files are
    put aside under thresholds_versions/.

    Args:
        dir: the course folder. who, why: the person and the reason. on: date; today (UTC) when left out.
    Raises:
        AdoptionError: no who or why, or nothing was ever adopted.
    """
    course = Path(dir)
    _check_words(who, why)
    day = on or dt.datetime.now(dt.UTC).date()
    try:
        finish_broken_switch(course)
        with open_book(course) as book:
            try:
                now = Thresholds.read(course)
            except ThresholdsError:
                leaving, target = (
                    _next_name(course, f"{BY_HAND}-{day.isoformat()}"),
                    _last_adopted(course, book),
                )
                write_folder(version_folder(course, leaving), pair_in(course))
            else:
                if now.version == DEFAULTS:
                    raise AdoptionError(
                        Fault("undo", "the table's defaults", "an adopted version", "nothing to take back")
                    )
                leaving, target = now.version, now.trail.get("before", DEFAULTS)
                _keep(course, now)
            pair = NOTHING if target == DEFAULTS else pair_in(version_folder(course, target))
            switch(course, leaving, pair)
            back = Thresholds.read(course)
            said = f"{leaving} taken back, {target} stands again: {why.strip()}"
            _note(book, _next_undo(book, day), pair, back, who, said, day)
    except OSError as error:
        raise _unwritable(course, error) from None
    return back


def _check_words(who: str, why: str) -> None:
    faults = []
    if not who.strip():
        faults.append(Fault("who", "nobody", "the name of the person who decides", "add --who NAME"))
    if not why.strip():
        faults.append(Fault("why", "no reason", "a reason that can be read in ten years", 'add --why "..."'))
    if faults:
        raise AdoptionError(faults)


def _next_name(course: Path, stem: str) -> str:
    versions = course / VERSIONS
    taken = {p.name for p in versions.iterdir()} if versions.is_dir() else set()
    number = 1
    while f"{stem}-{number}" in taken:
        number += 1
    return f"{stem}-{number}"


def _next_undo(book: Book, day: dt.date) -> str:
    taken = set(book.record().thresholds["version"])
    number = 1
    while f"undo {day.isoformat()}-{number}" in taken:
        number += 1
    return f"undo {day.isoformat()}-{number}"


def _keep(course: Path, standing: Thresholds) -> None:
    """Keep the version that stands among the versions, where it is not there yet."""
    kept = version_folder(course, standing.version)
    if standing.version != DEFAULTS and not kept.is_dir():
        write_folder(kept, pair_in(course))


def toml_hash(pair: Pair) -> str:
    """SHA-256 of the toml of a pair; empty for the defaults."""
    text = pair[NAME]
    return "" if text is None else draws_hash(text)


def _last_adopted(course: Path, book: Book) -> str:
    """Name of the version that the book says stands."""
    rows = book.record().thresholds
    wanted = str(rows["hash"].iloc[-1]) if len(rows) else ""
    folders = sorted((course / VERSIONS).iterdir()) if (course / VERSIONS).is_dir() else []
    matching = [f.name for f in folders if f.is_dir() and wanted and toml_hash(pair_in(f)) == wanted]
    return matching[0] if matching else DEFAULTS


def _note(book: Book, name: str, pair: Pair, version: Thresholds, who: str, why: str, day: dt.date) -> None:
    book.add_threshold_version(
        version=name,
        known=f"{day.isoformat()}T12:00:00",
        who=who.strip(),
        why=why.strip(),
        hash=toml_hash(pair),
        used=sorted(version.used),
    )


def _unwritable(course: Path, error: OSError) -> AdoptionError:
    found, wanted = f"{error.strerror or error}", "a folder that can be written"
    return AdoptionError(
        Fault(
            str(error.filename or course), found, wanted, "allow writing there, or copy the course elsewhere"
        )
    )
