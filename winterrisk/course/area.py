"""[[areas]] and [[areas.zones]]: greens and the spots on them, as a superintendent sees them."""

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field

from winterrisk.course.directions import Direction
from winterrisk.course.grasses import Shares
from winterrisk.course.section import FORGIVING, Name, Number, Section, number, said

Kind = Annotated[Literal["green", "nursery", "collar", "approach", "tee", "fairway"], FORGIVING]
Build = Annotated[Literal["sand", "push-up"], FORGIVING]
Biotype = Annotated[Literal["plain", "hardy"], FORGIVING]
Drainage = Annotated[Literal["good", "fair", "poor"], FORGIVING]
Shade = Annotated[Literal["none", "morning", "midday", "afternoon", "most of the day"], FORGIVING]
Wind = Annotated[Literal["exposed", "open", "sheltered"], FORGIVING]
ColdAir = Annotated[Literal["pools", "drains off", "neither"], FORGIVING]
Snow = Annotated[Literal["drifts in", "stays", "blows off"], FORGIVING]
TemplateName = Annotated[
    Literal[
        "low spot", "collar dam", "drain side", "afternoon shade", "ridge", "open", "north slope",
        "cover edge", "irrigation low",
    ],
    FORGIVING,
]  # fmt: skip
Facing = Annotated[Literal["flat", Direction], FORGIVING]
HorizonHeights = dict[Annotated[Direction, FORGIVING], Annotated[Number, Field(ge=0, le=85)]]
"""Elevation of trees or hills [degrees] by direction."""


class Zone(Section):
    """One spot that behaves alike in winter; what is left out comes from its template, area or preset."""

    name: Name = said('short name of the spot; with the area it makes the label, as in "4 low"')
    template: TemplateName | None = said("the kind of spot it is; open when left out", None)
    share: Number | None = number(
        "share of the area; left out = an equal part of what is left", 0, 1, "", None
    )
    holds_water: Number | None = number("depth of water that stands before it runs off", 0, 200, "mm", None)
    drainage: Drainage | None = said("how water gets away in a thaw", None)
    slope: Number | None = number("fall of the surface", 0, 60, "percent", None)
    faces: Facing | None = said("direction the slope looks to", None)
    shade: Shade | None = said("when trees or hills keep the winter sun off", None)
    horizon: HorizonHeights | None = said(
        "measured height of trees or hills in degrees by direction, as {S = 20, SW = 30}; wins over shade",
        None,
    )
    wind: Wind | None = said("how the wind reaches it", None)
    cold_air: ColdAir | None = said("what cold air does there on calm clear nights", None)
    snow: Snow | None = said("what the wind does with snow there", None)
    thatch: Number | None = number("thickness of the mat", 0, 100, "mm", None)
    turf: Shares | None = said("shares of the grasses, as {Poa = 0.7, bent = 0.3}", None)
    biotype: Biotype | None = said("hardy where the annual bluegrass is a proven hardy strain", None)
    note: str = said("anything worth remembering", "")


class Area(Section):
    """A green, collar, approach, tee, fairway or nursery. At least one is required, each with its zones."""

    name: Name = said('name or number, as "4"')
    kind: Kind = said("what it is", "green")
    size: Number | None = number(
        "size; 1,000 ft2 are 93 m2; left out = usual for its kind", 1, 200_000, "m2", None
    )
    build: Build | None = said("sand root zone or push-up soil", None)
    thatch: Number | None = number("thickness of the mat; half an inch is 13 mm", 0, 100, "mm", None)
    turf: Shares | None = said("shares of the grasses, as {Poa = 0.7, bent = 0.3}", None)
    biotype: Biotype | None = said("hardy where the annual bluegrass is a proven hardy strain", None)
    note: str = said("anything worth remembering", "")
    zones: Annotated[tuple[Zone, ...], Field(min_length=1)] = said("the spots of this area")


def zone_shares(written: Sequence[float | None]) -> tuple[float, ...]:
    """Shares of an area's zones [1], adding up to 1; a zone without one has an equal part of what is left."""
    given = sum(share for share in written if share is not None)
    silent = sum(share is None for share in written)
    if silent:
        return tuple((1.0 - given) / silent if share is None else share for share in written)
    return tuple((share or 0.0) / given for share in written)
