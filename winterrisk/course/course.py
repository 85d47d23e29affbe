"""Course: the owner's description of a place, its greens and the spots on them."""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, Self
from zoneinfo import ZoneInfo

from pydantic import Field, ModelWrapValidatorHandler, PrivateAttr, ValidationInfo, model_validator
from pydantic_core import PydanticCustomError

from winterrisk.course.agreement import zone_label
from winterrisk.course.area import Area
from winterrisk.course.course_faults import AGREEMENT, disagreement_faults
from winterrisk.course.place import Place
from winterrisk.course.presets import beneath, preset_named
from winterrisk.course.season_dates import SeasonDates
from winterrisk.course.section import Section, said
from winterrisk.course.sections import (
    Away,
    Checks,
    Covers,
    Crew,
    Forecast,
    Gauge,
    Money,
    PastInjury,
    Person,
    PlugRoom,
    Reopening,
    Repair,
    TurfSection,
)  # fmt: skip
from winterrisk.course.station import Station
from winterrisk.course.zone_view import ZoneView, area_views
from winterrisk.science.faults import Fault, Refused, nearest
from winterrisk.thresholds.species import SPECIES

if TYPE_CHECKING:
    import xarray as xr

_FOLDER: Final = "folder"


class UnknownZone(Refused):
    """A zone was named that the course does not have."""


class Course(Section):
    """A course as its file tells it; only place, areas and station are required."""

    place: Place = said("where the course lies")
    areas: Annotated[tuple[Area, ...], Field(min_length=1)] = said("the greens and other areas")
    station: Station = said("the weather record")
    turf_section: TurfSection = Field(alias="turf", description="grass of areas that state none")
    gauge: Gauge = said("the rain gauge")
    forecast: Forecast = said("where the forecast comes from", Forecast())
    plug_room: PlugRoom = said("where plugs green up", PlugRoom())
    covers: Covers = said("winter covers", Covers())
    crew: Crew = said("who works in winter", Crew())
    away: Away = said("days away", Away())
    people: tuple[Person, ...] = said("who gets messages", ())
    money: Money = said("what things cost")
    calendar: SeasonDates = said("dates that decide")
    repair: Repair = said("how dead turf is brought back", Repair())
    reopening: Reopening = said("rules for giving a green back to play", Reopening())
    checks: Checks = said("strips left untreated", Checks())
    past_injury: tuple[PastInjury, ...] = said("zones hurt in earlier winters", ())

    _folder: Path = PrivateAttr(default=Path())
    _written: frozenset[str] = PrivateAttr(default=frozenset())

    @model_validator(mode="wrap")
    @classmethod
    def _filled(cls, raw: Any, handler: ModelWrapValidatorHandler[Self], info: ValidationInfo) -> Self:
        if not isinstance(raw, Mapping):
            return handler(raw)
        course = handler(beneath(raw))
        if faults := disagreement_faults(raw):
            raise PydanticCustomError(AGREEMENT, "{lines}", {"lines": "\n".join(map(str, faults))})
        course._folder = Path((info.context or {}).get(_FOLDER, ""))
        course._written = _keys_of(raw)
        return course

    @property
    def folder(self) -> Path:
        """The course folder the file came from; the current folder for a course made in code."""
        return self._folder

    @property
    def station_path(self) -> Path:
        """Path of the station record."""
        return self._folder / self.station.file

    @property
    def id(self) -> str:
        """Short key of the course."""
        return self.place.id

    @property
    def timezone(self) -> str:
        """IANA name of the local time zone."""
        return self.place.timezone

    @property
    def zoneinfo(self) -> ZoneInfo:
        """The local time zone as an object."""
        return self.place.zoneinfo

    def hash(self) -> str:
        """SHA-256 of what the file says of place, turf, work and money: whom messages reach moves no night."""
        return sha256(self.model_dump_json(exclude={"people"}).encode()).hexdigest()

    def says(self, key: str) -> bool:
        """True where the file itself answers a key such as "gauge.kind"; False where a default stands."""
        return key in self._written

    def zones(self) -> tuple[ZoneView, ...]:
        """Every zone with all questions answered, in the order of the file."""
        preset = preset_named(self.place.preset)
        return tuple(view for area in self.areas for view in area_views(area, self.turf_section, preset))

    def zone_labels(self) -> tuple[str, ...]:
        """Labels of all zones, "4 low", in the order of the file."""
        return tuple(zone_label(area.name, zone.name) for area in self.areas for zone in area.zones)

    def zone(self, label: str) -> ZoneView:
        """The zone of that label, read without regard to capitals and doubled spaces.

        Raises:
            UnknownZone: no zone has that label; the nearest is named.
        """
        wanted = " ".join(str(label).split()).casefold()
        for view in self.zones():
            if view.label.casefold() == wanted:
                return view
        raise UnknownZone(_unknown("zone", label, self.zone_labels()))

    def zone_of(self, area: str, zone: str) -> ZoneView:
        """The zone of an area's name and the zone's own name.

        Raises:
            UnknownZone: as `zone`.
        """
        return self.zone(zone_label(area, zone))

    def area(self, name: str) -> Area:
        """The area of that name.

        Raises:
            UnknownZone: no area has that name; the nearest is named.
        """
        wanted = " ".join(str(name).split()).casefold()
        for area in self.areas:
            if area.name.casefold() == wanted:
                return area
        raise UnknownZone(_unknown("area", name, tuple(area.name for area in self.areas)))

    def turf(self) -> xr.Dataset:
        """Grass of every zone: share(zone, species) [1] of the species present, hardy(zone) and sprayed(zone).

        hardy is True where the annual bluegrass of the zone is a proven hardy strain, sprayed where the turf is
        sprayed against snow mould each autumn.
        """
        import numpy as np
        import xarray as xr

        views = self.zones()
        species = [name for name in SPECIES if any(view.turf.get(name, 0.0) > 0 for view in views)]
        share = np.array([[view.turf.get(name, 0.0) for name in species] for view in views], dtype=float)
        hardy = np.array([view.biotype == "hardy" for view in views])
        sprayed = np.full(len(views), self.turf_section.snow_mould_spray)
        return xr.Dataset(
            {
                "share": (
                    ("zone", "species"),
                    share,
                    {"units": "1", "long_name": "share of the turf by species"},
                ),
                "hardy": ("zone", hardy, {"units": "1", "long_name": "annual bluegrass is a hardy strain"}),
                "sprayed": (
                    "zone",
                    sprayed,
                    {"units": "1", "long_name": "sprayed against snow mould in autumn"},
                ),
            },
            coords={"zone": [view.label for view in views], "species": species},
        )


def _unknown(what: str, name: str, known: tuple[str, ...]) -> Fault:
    like = nearest(str(name), known)
    hint = f'nearest is "{like}"' if like else "the course has " + ", ".join(known)
    return Fault(what, f'"{name}"', f"a {what} of this course", hint)


def _keys_of(raw: Mapping[str, Any]) -> frozenset[str]:
    inner = {
        f"{section}.{key}" for section, table in raw.items() if isinstance(table, Mapping) for key in table
    }
    return frozenset(raw) | inner
