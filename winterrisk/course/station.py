"""[station]: the weather record, and how its columns and units read."""

from typing import Annotated, Final, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator

from winterrisk.course.section import (
    FORGIVING,
    InFolder,
    Number,
    Section,
    Whole,
    YesNo,
    number,
    refusal,
    said,
)

Unit = Annotated[
    Literal[
        "degC", "degF", "K", "mm", "inch", "cm", "m", "m/s", "km/h", "mph", "knots", "hPa", "kPa", "Pa",
        "inHg", "percent", "fraction", "W/m2", "MJ/m2/day", "oktas",
    ],
    FORGIVING,
]  # fmt: skip

_TEMPERATURE: Final = ("degC", "degF", "K")
_DEPTH: Final = ("mm", "inch", "cm", "m")
_SHARE: Final = ("fraction", "percent")
_RADIATION: Final = ("W/m2", "MJ/m2/day")

UNITS_OF: Final = {
    "air_temperature": _TEMPERATURE,
    "air_temperature_max": _TEMPERATURE,
    "air_temperature_min": _TEMPERATURE,
    "dew_point": _TEMPERATURE,
    "relative_humidity": _SHARE,
    "wind_speed": ("m/s", "km/h", "mph", "knots"),
    "precipitation": _DEPTH,
    "snow_fraction": _SHARE,
    "freezing_rain": _DEPTH,
    "snow_depth": ("m", "cm", "mm", "inch"),
    "surface_pressure": ("hPa", "kPa", "Pa", "inHg"),
    "shortwave_down": _RADIATION,
    "longwave_down": _RADIATION,
    "cloud_cover": ("fraction", "percent", "oktas"),
    "diffuse_fraction": _SHARE,
}
"""Units each column may have; the first is taken when none is written."""


class Column(Section):
    """One column of the record: its heading and its unit."""

    column: str = said("heading in the file", min_length=1)
    unit: Unit | None = said("unit in the file; the first of its list when left out", None)


def _heading_alone(value: object) -> object:
    return {"column": value} if isinstance(value, str) else value


Heading = Annotated[Column, BeforeValidator(_heading_alone)] | None


class Columns(Section):
    """What the file calls each column: our name = "heading", or {column = "heading", unit = "degF"}.

    A column with our name and our unit needs no entry.
    """

    time: str = said("heading of the time column", "time", min_length=1)
    air_temperature: Heading = said("air temperature, hourly or the day's mean", None)
    air_temperature_max: Heading = said("highest of the day (daily files)", None)
    air_temperature_min: Heading = said("lowest of the day (daily files)", None)
    dew_point: Heading = said("dew point", None)
    relative_humidity: Heading = said("relative humidity over water", None)
    wind_speed: Heading = said("mean wind speed", None)
    precipitation: Heading = said("rain and melted snow of the step", None)
    snow_fraction: Heading = said("share of the precipitation that fell as snow", None)
    freezing_rain: Heading = said("freezing rain of the step", None)
    snow_depth: Heading = said("depth of snow lying", None)
    surface_pressure: Heading = said("air pressure at the station, not reduced to sea level", None)
    shortwave_down: Heading = said("sunshine on a level surface", None)
    longwave_down: Heading = said("longwave radiation from the sky", None)
    cloud_cover: Heading = said("cloud cover", None)
    diffuse_fraction: Heading = said("diffuse share of the sunshine", None)

    @field_validator(*UNITS_OF, mode="after")
    @classmethod
    def _unit_fits(cls, value: Column | None, info: ValidationInfo) -> Column | None:
        units = UNITS_OF[str(info.field_name)]
        if value is not None and value.unit is not None and value.unit not in units:
            raise refusal(
                "a unit out of " + ", ".join(units),
                "correct the unit, or the column it stands at",
                value.unit,
            )
        return value

    def written(self) -> dict[str, Column]:
        """The columns a person named, by our name."""
        return {name: getattr(self, name) for name in UNITS_OF if getattr(self, name) is not None}


class StationFile(Section):
    """A further record that fills gaps of the first one after its bias is taken off."""

    file: InFolder = said("the record, a CSV file in the course folder, or a link there", min_length=1)
    name: str = said("name of the station", "")
    latitude: Number | None = number("latitude; left out = at the course", -90, 90, "degrees north", None)
    longitude: Number | None = number("longitude; left out = at the course", -180, 180, "degrees east", None)
    elevation: Number | None = number("height above the sea; left out = as the course", -100, 4500, "m", None)
    step: Annotated[Literal["hourly", "daily"], FORGIVING] = said("how often it reports", "hourly")
    height_temperature: Number = number("height of the thermometer", 0.1, 50, "m", 2.0)
    height_wind: Number = number("height of the wind gauge", 0.3, 100, "m", 10.0)
    height_from: Annotated[Literal["ground", "snow"], FORGIVING] = said(
        "whether these heights count from the ground or from the snow (a mast that is raised)", "ground"
    )
    delimiter: Literal[",", ";", "\t", "|", " "] = said(
        'character between the columns; a tab is written "\\t"', ","
    )
    missing: tuple[str, ...] = said("codes that mean no value", ("", "NA", "M", "-9999"))
    trace: str = said("code for a trace of rain or snow", "T")
    label: Annotated[Literal["start", "centre", "end"], FORGIVING] = said(
        "which end of the hour the time stands for", "start"
    )
    utc_offset: Number = number(
        "hours the file's clock is ahead of UTC all year; 0 = the file is in UTC, -5 = eastern standard time",
        -14, 14, "hours", 0.0,
    )  # fmt: skip
    licence: str = said("terms of the record, printed in reports", "")
    provider: str = said("who measured it, printed in reports", "")
    downslope_winds: YesNo = said(
        "true where warm winds from the mountains raise the air by 10 degrees in an hour", False
    )
    columns: Columns = said("headings and units of the file", Columns())


class Chosen(Section):
    """One station of the online history, chosen for one variable; written by the program, once, with the reason."""

    variable: str = said("what it gives, as air_temperature", min_length=1)
    id: Annotated[str, Field(pattern="^[A-Za-z0-9]{1,16}$")] = said("the service's own name of the station")
    name: str = said("name of the station", "")
    latitude: Number = number("latitude", -90, 90, "degrees north")
    longitude: Number = number("longitude", -180, 180, "degrees east")
    elevation: Number | None = number("height above the sea", -430, 9000, "m", None)
    distance_km: Number = number("how far from the course", 0, 1000, "km")
    completeness: Number = number("share of its winter hours that are there", 0, 1, "", 0.0)
    step: Annotated[Literal["hourly", "daily"], FORGIVING] = said("how often it reports", "hourly")
    reason: str = said("why this one", "")


class Station(StationFile):
    """The weather record the nights are worked from. Required; every key has a default."""

    file: InFolder = said(
        "the record, a CSV file in the course folder, or a link there", "station.csv", min_length=1
    )
    source: Annotated[Literal["file", "meteostat"], FORGIVING] = said(
        "file = the record above; meteostat = the open history of that name, by the internet", "file"
    )
    since: Whole = number("first year that is asked of the online history", 1950, 2100, "", 2000)
    chosen: tuple[Chosen, ...] = said("stations of the online history, one for each variable", ())
    second: tuple[StationFile, ...] = said("further records that fill the gaps of the first", ())
