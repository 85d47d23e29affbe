"""Regional presets: what is assumed where the course file is silent. A person may change every one of them.

All values are judged unless the row says otherwise.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from winterrisk.course.section import plain_word


@dataclass(frozen=True)
class Preset:
    """Usual answers of one region.

    Args:
        turf [1]: shares of the species on a green.
        thatch [mm]: mat of a green.
        gauge: heated, unheated or none.
        seed_order, sod_order, opening: month-day.
    """

    turf: Mapping[str, float]
    biotype: str
    build: str
    thatch: float
    gauge: str
    seed_order: str
    sod_order: str
    opening: str
    currency: str
    units: str
    source: str = "judged"


PRESETS: Final = {
    "Nordic coast": Preset(
        MappingProxyType(
            {"annual_bluegrass": 0.5, "creeping_bent": 0.2, "colonial_bent": 0.1, "fine_fescue": 0.2}
        ),
        "plain", "sand", 12.0, "heated", "03-01", "03-15", "05-01", "EUR", "metric",
    ),
    "inland Canada": Preset(
        MappingProxyType({"annual_bluegrass": 0.5, "creeping_bent": 0.5}),
        "plain", "sand", 10.0, "unheated", "03-01", "03-20", "05-05", "CAD", "metric",
    ),
    "Great Lakes and New England": Preset(
        MappingProxyType({"annual_bluegrass": 0.6, "creeping_bent": 0.4}),
        "plain", "push-up", 10.0, "heated", "02-20", "03-10", "04-15", "USD", "us",
    ),
    "northern Plains": Preset(
        MappingProxyType({"annual_bluegrass": 0.35, "creeping_bent": 0.65}),
        "plain", "sand", 10.0, "heated", "03-01", "03-15", "04-20", "USD", "us",
    ),
}  # fmt: skip

NO_PRESET: Final = Preset(
    MappingProxyType({"annual_bluegrass": 0.5, "creeping_bent": 0.5}),
    "plain", "sand", 10.0, "unheated", "03-01", "03-15", "04-25", "USD", "metric",
    "judged: more annual bluegrass than the 33 % mean of 96 North American courses (2022 survey), "
    "so that an unknown green is not called too safe",
)  # fmt: skip
"""What is assumed where no preset is named."""

THATCH_ELSEWHERE: Final = {"collar": 15.0, "approach": 15.0, "tee": 15.0, "fairway": 20.0}
"""Mat [mm] of areas cut higher than a green; judged."""

SIZES: Final = {
    "green": 500.0, "nursery": 500.0, "collar": 150.0, "approach": 300.0, "tee": 300.0, "fairway": 10000.0,
}  # fmt: skip
"""Size [m2] of an area that states none; judged."""


def preset_named(name: object) -> Preset:
    """The preset of that name; the general one where none or an unknown one is named."""
    wanted = plain_word(name) if isinstance(name, str) else ""
    return next((preset for known, preset in PRESETS.items() if plain_word(known) == wanted), NO_PRESET)


def beneath(raw: Mapping[str, Any]) -> dict[str, Any]:
    """The written course file with the preset's answers put in where it is silent."""
    place = raw.get("place")
    preset = preset_named(place.get("preset") if isinstance(place, Mapping) else None)
    assumed: dict[str, dict[str, Any]] = {
        "place": {"units": preset.units},
        "turf": {"shares": dict(preset.turf), "biotype": preset.biotype},
        "gauge": {"kind": preset.gauge},
        "calendar": {
            "seed_order": preset.seed_order,
            "sod_order": preset.sod_order,
            "opening": preset.opening,
        },
        "money": {"currency": preset.currency},
    }
    filled = dict(raw)
    for section, answers in assumed.items():
        written = raw.get(section, {})
        if isinstance(written, Mapping) and (section in raw or section != "place"):
            filled[section] = {**answers, **written}
    return filled
