"""[place]: where the course lies and how its people measure."""

import re
import unicodedata
from functools import cache
from typing import Annotated, Literal
from zoneinfo import ZoneInfo, available_timezones

from pydantic import AfterValidator, Field, model_validator

from winterrisk.course.scope import SCOPE, TROPIC, latitude_is_covered
from winterrisk.course.section import FORGIVING, Name, Number, Section, YesNo, number, refusal, said
from winterrisk.science.faults import nearest

Region = Annotated[
    Literal["Nordic coast", "inland Canada", "Great Lakes and New England", "northern Plains"], FORGIVING
]


def slug(name: str) -> str:
    """The name in small letters, digits and hyphens: fit for a folder or a key."""
    letters = name.casefold().replace("ø", "o").replace("æ", "ae").replace("ß", "ss")
    plain = unicodedata.normalize("NFKD", letters).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-") or "course"


def _covered(latitude: float) -> float:
    if not latitude_is_covered(latitude):
        raise refusal(f"a latitude of {TROPIC:g} to 90 degrees north", SCOPE)
    return latitude


@cache
def _timezones() -> frozenset[str]:
    return frozenset(available_timezones())


def _known_timezone(timezone: str) -> str:
    if timezone not in _timezones():
        like = nearest(timezone, sorted(_timezones()))
        hint = f'nearest is "{like}"; correct it' if like else "look the name up under your country"
        raise refusal("a time zone name such as America/Toronto or Europe/Oslo", hint)
    return timezone


def _slug_only(value: str) -> str:
    if value != slug(value):
        raise refusal("small letters, digits and hyphens", f'write "{slug(value)}"')
    return value


class Place(Section):
    """Where the course lies. Required."""

    name: Name = said("name of the course")
    id: Annotated[str, AfterValidator(_slug_only)] = said(
        "short key of the course: small letters, digits, hyphens; made from the name when left out", ""
    )
    latitude: Annotated[Number, AfterValidator(_covered)] = number(
        "latitude of the course", -90, 90, "degrees north"
    )
    longitude: Number = number("longitude; west of Greenwich is negative", -180, 180, "degrees east")
    elevation: Number = number("height above the sea", -100, 4500, "m")
    timezone: Annotated[str, AfterValidator(_known_timezone)] = said(
        "time zone name, for example America/Toronto or Europe/Oslo"
    )
    near_water: YesNo = said(
        "true where the air often comes off a sea or a great lake close by: its days are even, whatever the clouds",
        False,
    )
    units: Annotated[Literal["metric", "us"], FORGIVING] = said("units of messages and reports", "metric")
    preset: Region | None = said("region whose usual answers fill what this file leaves out", None)
    invented: YesNo = Field(False, description="true for a course made up for a demonstration")

    @model_validator(mode="before")
    @classmethod
    def _id_from_name(cls, raw: object) -> object:
        if isinstance(raw, dict) and "id" not in raw and isinstance(raw.get("name"), str):
            return {**raw, "id": slug(raw["name"])}
        return raw

    @property
    def zoneinfo(self) -> ZoneInfo:
        """The time zone as an object."""
        return ZoneInfo(self.timezone)
