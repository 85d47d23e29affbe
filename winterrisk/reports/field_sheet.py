"""What stands on the sheet that goes out with the drill: plugs to cut, boxes to fill, how, and with what care."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from winterrisk.reports.words import day_in_words

MOST_ROWS: Final = 16
"""Plugs on one sheet, the control among them; one page holds no more."""
SOUTHERN: Final = slice(4, 13)
"""East over south to west among the sixteen directions of a horizon."""
SHADED: Final = 12.0
"""Height of the horizon there [degree] that takes a low winter sun away (judged)."""
CONTROL: Final = "control: bent or turf that was never iced"

BOXES: Final = ("time", "snow", "ice", "clear or white", "plug deep", "crowns on?", "smell, colour, water")
"""Boxes of each plug; snow and ice carry the course's units."""

HOW: Final = (
    "Go first where it died before, where water stands, and where winter shade lies.",
    "Dig down to the turf without scraping: dormant blades and crowns break off bare turf.",
    "Chip the ice to about 6 mm (1/4 in); in clear sun the last of it often lets go by itself.",
    "Drill through with a 50 mm (2 in) hole saw on a cordless drill, short of its full depth.",
    "Work the plug loose from the side and lift it with at least 5 cm (2 in) of root zone.",
    "Did it snap at the thatch? Write crowns: no, and cut another beside it.",
    "Fill the hole with sand and put the snow back on top.",
    "Let plugs thaw overnight somewhere cool, then pot them in sand or potting soil.",
    "South sill at 18 C (65 F) or more, or just beneath a bright lamp; a little water several times a day.",
    "Clip, then read new growth on days 3, 5, 7, 10 and 14. Keep one known-good control in every batch.",
)
"""How plugs are cut and kept: common trade practice, in our own words."""
CARE: Final = (
    "Cold: go in the warm part of the day, in pairs, and come in before hands go numb. Mind the wind chill.",
    "Eyes: wear glasses when chipping ice. Drill: two hands, side handle, firm footing; a saw that binds twists.",
    "Shovelling strains hearts and backs: small loads, many rests, stop at chest pain.",
    "Ponds and streams hide under snow: keep to ground you know. No machines across a slope of ice.",
    "Engines give off carbon monoxide: never in a closed shed.",
    "Plugs may carry fungicide: gloves, not in a kitchen, wash hands; the label and local rules come first.",
    "Lamps stay away from water and from anything that burns.",
)
"""Cautions that go with every field call."""


@dataclass(frozen=True)
class SheetRow:
    """One plug to cut: zone, mark for its label ("A1"), where, and days under ice of the zone if known."""

    zone: str
    mark: str
    where: str = ""
    days_under_ice: float | None = None
    control: bool = False

    def label(self, day: dt.date) -> str:
        """Words of the label that goes with the plug."""
        under = "" if self.days_under_ice is None else f", day {self.days_under_ice:.0f} under ice"
        return f"{self.zone} {self.mark}, {day.isoformat()}{under}"


@dataclass(frozen=True)
class FieldSheet:
    """One page: its heading, the plugs to cut, boxes to fill, advice, cautions, and how to type it in."""

    course: str
    day: dt.date
    rows: tuple[SheetRow, ...]
    left_out: int
    why: str
    boxes: tuple[str, ...]
    how: tuple[str, ...]
    care: tuple[str, ...]
    typed: str
    letter: bool = False

    @property
    def heading(self) -> str:
        """The first line of the page."""
        return f"{self.course}: plugs to cut, {day_in_words(self.day)} {self.day.year}"


def zones_in_order(course: Any) -> tuple[str, ...]:
    """Zones of a course, those hurt before first, then those that drain poorly, then those in winter shade."""
    hurt = {f"{injury.area} {injury.zone}".strip() for injury in course.past_injury}

    def rank(view: Any) -> tuple[bool, bool, bool]:
        return view.label not in hurt, view.drainage != "poor", max(view.horizon[SOUTHERN]) < SHADED

    return tuple(view.label for view in sorted(course.zones(), key=rank))


def _wanted(night: Mapping[str, Any] | None, zones: Sequence[str]) -> list[tuple[str, tuple[str, ...]]]:
    """Zones and spots the night asked plugs of, or one spot in each of the zones."""
    pulls = [] if night is None else [call for call in night["calls"] if call["kind"] == "pull"]
    asked = {call["zone"]: tuple(call["spots"]) or ("",) * call["number"] for call in pulls}
    if zones:
        return [(zone, asked.get(zone, ("", "", ""))) for zone in zones]
    return list(asked.items())


def field_sheet(
    course: Any,
    on: dt.date,
    night: Mapping[str, Any] | None = None,
    zones: Sequence[str] = (),
    control: str = "",
) -> FieldSheet:
    """The sheet of a day.

    Args:
        course: the `Course`. on: local day. night: record of the last night; its pulls are asked for.
        zones: labels of the zones wanted, in place of the night's: three plugs each. control: where the
            control comes from.
    """
    wanted, why = _wanted(night, zones), "zones as asked for"
    if not zones and wanted and night is not None:
        why = f"as called on the night of {night['on']}"
    elif not wanted:
        wanted = [(zone, ("",)) for zone in zones_in_order(course)]
        why = "no plugs are called for: one plug a zone, first where turf died, drains badly or lies in shade"
    known = {} if night is None else {z["zone"]: z for z in night.get("data", {}).get("zones", ())}
    rows = [
        SheetRow(zone, f"{_letter(n)}{i}", where, known.get(zone, {}).get("days_under_ice"))
        for n, (zone, spots) in enumerate(wanted)
        for i, where in enumerate(spots, start=1)
    ]
    kept = [*rows[: MOST_ROWS - 1], SheetRow(control, "C1", CONTROL, control=True)]
    us = course.place.units == "us"
    boxes = tuple({"snow": f"snow {'in' if us else 'cm'}", "ice": f"ice {'in' if us else 'mm'}",
                   "plug deep": f"plug deep {'in' if us else 'cm'}"}.get(box, box) for box in BOXES)  # fmt: skip
    depth, ice = ("2 in", "3/4 in") if us else ("5cm", "20mm")
    first = kept[0].zone or "4 low"
    typed = f"plug {first} {kept[0].mark} {depth} crowns yes ice {ice}"
    return FieldSheet(
        course.place.name,
        on,
        tuple(kept),
        max(0, len(rows) - MOST_ROWS + 1),
        why,
        boxes,
        HOW,
        CARE,
        typed,
        us,
    )


def _letter(number: int) -> str:
    """A, B, D, ...: C is kept for the control."""
    letters = "ABDEFGHJKLMNPQRSTUVWXYZ"
    return letters[number % len(letters)]
