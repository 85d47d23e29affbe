"""A zone with every question answered: its own word first, then template, area, course and preset."""

from dataclasses import dataclass
from typing import Final

from winterrisk.course.agreement import zone_label
from winterrisk.course.area import Area, Zone, zone_shares
from winterrisk.course.directions import azimuth
from winterrisk.course.presets import SIZES, THATCH_ELSEWHERE, Preset
from winterrisk.course.sections import TurfSection
from winterrisk.course.shade import horizon_of_measures, horizon_of_word
from winterrisk.course.templates import PLAIN, TEMPLATES

EXPOSURE: Final = {"exposed": 1.0, "open": 0.0, "sheltered": -1.0}
"""Wind words on the scale of -1 (sheltered) to 1 (exposed); judged."""


@dataclass(frozen=True)
class ZoneView:
    """One zone of the course, resolved.

    Args:
        label: area and zone, "4 low".
        share [1]: share of the area.
        area_size [m2]: size of the whole area.
        holds_water [mm]: water standing before it runs off.
        slope [1]: fall of the surface.
        faces [degrees]: azimuth the slope looks to; None when flat.
        horizon (16) [degrees]: elevation of trees and hills, N first, clockwise.
        exposure [1]: -1 sheltered to 1 exposed.
        thatch [m]: thickness of the mat.
        turf [1]: shares by species, adding up to 1.
    """

    label: str
    area: str
    name: str
    kind: str
    share: float
    area_size: float
    template: str
    holds_water: float
    drainage: str
    slope: float
    faces: float | None
    horizon: tuple[float, ...]
    exposure: float
    cold_air: str
    snow: str
    build: str
    thatch: float
    turf: dict[str, float]
    biotype: str
    note: str

    @property
    def size(self) -> float:
        """Size of the zone [m2]."""
        return self.share * self.area_size


def area_views(area: Area, default: TurfSection, preset: Preset) -> tuple[ZoneView, ...]:
    """The resolved zones of one area, in the order of the file."""
    shares = zone_shares([zone.share for zone in area.zones])
    return tuple(
        _view(zone, share, area, default, preset) for zone, share in zip(area.zones, shares, strict=True)
    )


def _view(zone: Zone, share: float, area: Area, default: TurfSection, preset: Preset) -> ZoneView:
    template = TEMPLATES[zone.template or PLAIN]
    slope = _first(zone.slope, template.slope)
    faces = zone.faces or template.faces
    turf = zone.turf or area.turf or default.shares
    thatch = _first(zone.thatch, area.thatch, THATCH_ELSEWHERE.get(area.kind), preset.thatch)
    if zone.horizon is not None:
        horizon = horizon_of_measures(dict(zone.horizon.items()))
    else:
        horizon = horizon_of_word(zone.shade or template.shade)
    return ZoneView(
        label=zone_label(area.name, zone.name),
        area=area.name,
        name=zone.name,
        kind=area.kind,
        share=share,
        area_size=_first(area.size, SIZES[area.kind]),
        template=zone.template or PLAIN,
        holds_water=_first(zone.holds_water, template.holds_water),
        drainage=zone.drainage or template.drainage,
        slope=slope / 100.0,
        faces=None if faces == "flat" else azimuth(faces),
        horizon=horizon,
        exposure=EXPOSURE[zone.wind or template.wind],
        cold_air=zone.cold_air or template.cold_air,
        snow=zone.snow or template.snow,
        build=area.build or preset.build,
        thatch=thatch / 1000.0,
        turf={species: amount / sum(turf.values()) for species, amount in turf.items()},
        biotype=zone.biotype or area.biotype or default.biotype,
        note=zone.note,
    )


def _first(*values: float | None) -> float:
    return next(value for value in values if value is not None)
