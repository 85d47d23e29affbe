"""Areas and zones of the course, as far as the book needs them: which labels there are."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from winterrisk.course.spoken_for import EVERYWHERE
from winterrisk.science.faults import Fault, nearest

WHOLE = ""
"""Zone of a row that speaks for a whole area; area of one that speaks for the whole course."""


def label(area: str, zone: str) -> str:
    """Zone label as people say it: "4 low"; "4" for a whole area, "all" for the whole course."""
    return f"{area} {zone}".strip() or EVERYWHERE


@dataclass(frozen=True)
class Places:
    """Areas with their zones, in the order of the course file."""

    areas: Mapping[str, tuple[str, ...]]

    @classmethod
    def of(cls, course: Any) -> "Places":
        """Places of a `Course`."""
        return cls.of_pairs((zone.area, zone.name) for zone in course.zones())

    @classmethod
    def of_pairs(cls, pairs: Iterable[tuple[str, str]]) -> "Places":
        """Places of (area, zone) pairs."""
        areas: dict[str, tuple[str, ...]] = {}
        for area, zone in pairs:
            areas[area] = (*areas.get(area, ()), zone)
        return cls(areas)

    def labels(self) -> tuple[str, ...]:
        """Labels of all zones."""
        return tuple(label(area, zone) for area, zones in self.areas.items() for zone in zones)

    def fault(self, where: str, area: str, zone: str, *, whole: bool) -> Fault | None:
        """What is wrong with an area and zone; None where the course has them.

        whole: True where a row may speak for a whole area or the whole course.
        """
        if zone in self.areas.get(area, ()) or (
            whole and zone == WHOLE and (area == WHOLE or area in self.areas)
        ):
            return None
        wanted = label(area, zone)
        same_area = [label(area, z) for z in self.areas.get(area, ())]
        close = nearest(wanted, same_area or self.labels())
        hint = f"did you mean {close}?" if close else "see the areas of course.toml"
        return Fault(where, f"zone {wanted!r}", "a zone of course.toml", hint)
