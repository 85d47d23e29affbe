"""What a row of the book must be: one checker a table, every fault named, nothing clipped."""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from winterrisk.book.kinds import KINDS, in_unit
from winterrisk.book.places import Places
from winterrisk.science.faults import Fault, nearest
from winterrisk.thresholds import LABELS, REFERENCE_ONLY, SPECIES

TURF = tuple(s for s in SPECIES if s not in REFERENCE_ONLY)
CAUSES = (
    "cold", "wet_freeze", "ice", "drying", "snow_mould_pink", "snow_mould_grey", "spring_frost", "swings",
    "background", "mixed", "unknown",
)  # fmt: skip
"""Causes a survey can name."""
EARLIEST = np.datetime64("1950-01-01T00:00:00")
DEEPEST_PLUG, THICKEST_ICE = 300.0, 500.0
LONGEST_TEXT = 4000
NO_TEXT = frozenset("\x7f\ufffe\uffff") | {chr(c) for c in range(0xD800, 0xE000)}
"""Characters no file of text can carry."""

Row = dict[str, Any]


def moment(value: Any) -> np.datetime64 | None:
    """A UTC time from ISO text, datetime, Timestamp or datetime64; None where it is none."""
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    if isinstance(value, str) and not value.strip()[:4].isdigit():
        return None
    try:
        stamp = pd.Timestamp(value.strip() if isinstance(value, str) else value)
    except (ValueError, TypeError, OverflowError):
        return None
    if stamp is pd.NaT:
        return None
    if stamp.tzinfo is not None:
        stamp = stamp.tz_convert("UTC").tz_localize(None)
    return np.datetime64(stamp.to_datetime64(), "s")


def empty(value: Any) -> bool:
    """True where nothing was given."""
    return (
        value is None
        or value is pd.NA
        or value is pd.NaT
        or (isinstance(value, str) and not value.strip())
        or (isinstance(value, float) and math.isnan(value))
        or (isinstance(value, np.datetime64) and np.isnat(value))
    )


@dataclass
class Checked:
    """A row being checked: what was given, the clean row so far, and the faults."""

    where: str
    given: Mapping[str, Any]
    known: np.datetime64
    places: Places | None = None
    row: Row = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def fault(self, name: str, found: Any, expected: str, move: str = "correct the line") -> None:
        """Note a fault of one value."""
        self.faults.append(Fault(f"{self.where}, {name}", str(found), expected, move))

    def text(self, name: str, default: str = "") -> str:
        """A word or sentence; control characters are refused."""
        value = self.given.get(name)
        said = default if empty(value) else str(value).strip()
        if any(c not in "\n\t" and (ord(c) < 32 or c in NO_TEXT) for c in said):
            self.fault(name, "characters that are no text", "words")
        if len(said) > LONGEST_TEXT:
            self.fault(name, f"{len(said)} characters", f"up to {LONGEST_TEXT}", "say it shorter")
        self.row[name] = said
        return said

    def number(self, name: str, low: float, high: float, default: float | None = None) -> float | None:
        """A number between low and high, or the default where nothing was given."""
        value = self.given.get(name)
        if empty(value):
            self.row[name] = default
            return default
        try:
            found = float(value)
        except (TypeError, ValueError):
            self.fault(name, repr(value), "a number")
            return None
        if not low <= found <= high:
            self.fault(name, f"{found:g}", f"{low:g} to {high:g}")
            return None
        self.row[name] = found
        return found

    def when(self, name: str, *, required: bool = True, future: bool = False) -> np.datetime64 | None:
        """A UTC time not later than `known`; None where it was left out."""
        value = self.given.get(name)
        found = moment(value)
        if found is None:
            if not empty(value):
                self.fault(name, repr(value), "a time such as 2025-01-14T09:00")
            elif required:
                self.fault(name, "nothing", "a time such as 2025-01-14T09:00")
            self.row[name] = None
            return None
        if found < EARLIEST:
            self.fault(name, str(found), "a year after 1950")
        if not future and found > self.known:
            self.fault(name, f"{found} UTC, in the future", f"a time up to now ({self.known} UTC)")
        self.row[name] = str(found)
        return found

    def one_of(self, name: str, options: Iterable[str], default: str = "") -> str:
        """One of the known words; the nearest is named where it is none."""
        known = tuple(options)
        value = self.text(name, default)
        if value not in known:
            close = nearest(value, known)
            self.fault(
                name, repr(value), "one of " + ", ".join(known), f"did you mean {close}?" if close else ""
            )
        return value

    def flag(self, name: str) -> bool:
        """Yes or no."""
        value = self.given.get(name)
        words = {"": False, "0": False, "no": False, "false": False, "1": True, "yes": True, "true": True}
        said = "" if empty(value) else str(value).strip().lower().removesuffix(".0")
        if said not in words:
            self.fault(name, repr(value), "yes or no")
        self.row[name] = int(words.get(said, False))
        return bool(self.row[name])

    def place(self, *, whole: bool = False) -> None:
        """Area and zone, against the course where there is one."""
        area, zone = self.text("area"), self.text("zone")
        if self.places is not None:
            wrong = self.places.fault(f"{self.where}, zone", area, zone, whole=whole)
            if wrong is not None:
                self.faults.append(wrong)
        elif not whole and not (area and zone):
            self.fault("zone", f"{area} {zone}".strip() or "nothing", "an area and a zone")

    def species(self) -> None:
        """A grass by key or by its common name; "all" where none was told apart."""
        keys = {words.lower(): key for key, words in LABELS.items()}
        said = "all" if empty(self.given.get("species")) else str(self.given["species"]).strip().lower()
        self.given = {**self.given, "species": keys.get(said, said)}
        self.one_of("species", ("all", *TURF), "all")


def check_observation(c: Checked) -> None:
    """An observation or work done: kind, value in the book's unit, share of the zone it holds for."""
    time, until = c.when("time"), c.when("until", required=False)
    if time is not None and until is not None and until < time:
        c.fault("until", f"{until}, before {time}", "a time after the first")
    c.place(whole=True)
    name = c.one_of("kind", KINDS)
    c.number("share", 0.0, 1.0, 1.0)
    c.text("detail")
    unit = c.text("unit")
    kind = KINDS.get(name)
    if kind is None:
        return
    c.row |= {"unit": kind.unit, "value": None}
    value = c.given.get("value")
    if empty(value):
        if kind.needs_value:
            c.fault("value", "nothing", f"a value in {kind.unit}")
        return
    if not kind.unit:
        c.fault("value", repr(value), f"no value for {kind.words!r}")
        return
    raw = c.number("value", -math.inf, math.inf)
    if raw is None:
        return
    turned = in_unit(raw, unit or kind.unit, kind.unit)
    if turned is None:
        c.fault("unit", repr(unit), f"a unit that fits {kind.unit}")
    elif not kind.low <= turned <= kind.high:
        c.fault("value", f"{turned:g} {kind.unit}", f"{kind.low:g} to {kind.high:g} {kind.unit}")
    else:
        c.row["value"] = round(turned, 6)


def check_batch(c: Checked) -> None:
    """A batch: id, since when in the warm, room and light."""
    c.text("id")
    c.when("warm_from", required=False, future=True)
    c.one_of("room", ("sill", "lamp"), "sill")
    c.number("temperature", -5.0, 40.0)
    c.number("light_hours", 0.0, 24.0)
    c.number("light_mol", 0.0, 80.0)
    c.flag("void")


def check_plug(c: Checked) -> None:
    """A plug: zone, spot, when it was cut, depth, crowns attached or not."""
    c.text("id")
    c.place()
    c.text("spot")
    c.when("cut")
    c.number("depth_mm", 5.0, DEEPEST_PLUG)
    c.one_of("crowns", ("yes", "no", "unknown"), "unknown")
    c.flag("control")
    c.number("ice_mm", 0.0, THICKEST_ICE)
    c.text("batch")
    c.text("label")


def check_look(c: Checked) -> None:
    """A look at a plug: new growth as a share, colour and smell apart."""
    c.text("plug")
    c.when("time")
    c.species()
    growth = c.number("new_growth", 0.0, 1.0)
    colour, smell = c.text("colour"), c.text("smell")
    if growth is None and not (colour or smell) and not c.faults:
        c.fault("new_growth", "nothing", "new growth, a colour or a smell")


def check_survey(c: Checked) -> None:
    """A spring survey: share dead of a zone, low to high, and the cause if anybody knows."""
    c.text("winter")
    date = c.when("date")
    if date is not None:
        year, month = (int(part) for part in str(date)[:7].split("-"))
        first = year if month >= 7 else year - 1
        said = f"{first}-{(first + 1) % 100:02d}"
        if c.row["winter"] and c.row["winter"] != said:
            c.fault("winter", c.row["winter"], f"{said}, the winter of {str(date)[:10]}")
        c.row["winter"] = said
        c.row["date"] = str(date)[:10]
    c.place()
    c.species()
    low, high = c.number("dead_low", 0.0, 1.0), c.number("dead_high", 0.0, 1.0)
    for name, value in (("dead_low", low), ("dead_high", high)):
        if value is None and empty(c.given.get(name)):
            c.fault(name, "nothing", "a share from 0 to 1")
    if low is not None and high is not None and low > high:
        c.fault("dead_high", f"{high:g}, below {low:g}", "the larger share second")
    c.one_of("cause", CAUSES, "unknown")


def check_decision(c: Checked) -> None:
    """A decision: what, why, which night's page was seen, who was told."""
    c.when("time")
    if not c.text("text"):
        c.fault("text", "nothing", "what was decided")
    for name in ("reason", "night", "told"):
        c.text(name)


CHECKS: dict[str, Callable[[Checked], None]] = {
    "observations": check_observation,
    "batches": check_batch,
    "plugs": check_plug,
    "looks": check_look,
    "surveys": check_survey,
    "decisions": check_decision,
}
"""Checker of each table."""


def checked(
    table: str, given: Mapping[str, Any], known: np.datetime64, where: str, places: Places | None = None
) -> Checked:
    """A row checked for its table; look at `faults` before using `row`."""
    c = Checked(where, given, known, places)
    CHECKS[table](c)
    c.text("who")
    c.row["known"] = str(known)
    return c
