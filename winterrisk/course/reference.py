"""The page on every key of course.toml, made from the models so that it cannot drift."""

from datetime import date
from typing import Any, Final

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from winterrisk.course.course import Course
from winterrisk.course.presets import NO_PRESET, PRESETS, Preset
from winterrisk.course.scope import SCOPE
from winterrisk.course.section import expected_by, field_of, holds_list, known_keys, section_in
from winterrisk.course.shade import SHADE
from winterrisk.course.station import UNITS_OF
from winterrisk.course.templates import TEMPLATES

PRESET_ANSWERS: Final = {
    "place.units", "turf.shares", "turf.biotype", "gauge.kind", "money.currency",
    "calendar.seed_order", "calendar.sod_order", "calendar.opening",
}  # fmt: skip
"""Keys whose default comes from the preset."""


def course_file_reference() -> str:
    """The page docs/course_file.md: every section and key of course.toml, templates, shade words, presets."""
    parts = [_INTRODUCTION, *_sections(Course), _templates(), _shade(), _presets(), _units()]
    return "\n\n".join(part.strip() for part in parts) + "\n"


def _sections(model: type[BaseModel], above: str = "") -> list[str]:
    parts = []
    for key in known_keys(model):
        field = field_of(model, key)
        inside = section_in(field) if field is not None else None
        if field is None or inside is None or key in _INLINE:
            continue
        if above == "station." and key != "columns":
            continue
        path = f"{above}{key}"
        heading = f"[[{path}]]" if holds_list(field) else f"[{path}]"
        parts.append(f"## {heading}\n\n{_first_paragraphs(inside)}\n\n{_key_table(inside, path)}")
        if inside.__name__ != "Columns":
            parts += _sections(inside, f"{path}.")
    return parts


_INLINE: Final = {"periods"}


def _first_paragraphs(model: type[BaseModel]) -> str:
    return " ".join((model.__doc__ or "").split())


def _key_table(model: type[BaseModel], path: str) -> str:
    rows = ["| key | meaning | what may stand there | left out |", "|---|---|---|---|"]
    for key in known_keys(model):
        field = field_of(model, key)
        if field is None or (section_in(field) is not None and model.__name__ in ("Area", "Station")):
            continue
        rows.append(
            f"| `{key}` | {_cell(field.description or '')} | {_cell(_allowed(model, key, field))} | {_left_out(field, path, key)} |"
        )
    return "\n".join(rows)


def _allowed(model: type[BaseModel], key: str, field: FieldInfo) -> str:
    if model.__name__ == "Columns":
        return ", ".join(UNITS_OF[key]) if key in UNITS_OF else "text"
    if section_in(field) is not None:
        return "a list of tables" if holds_list(field) else "a table"
    expected = expected_by(field)
    if expected != field.description:
        return expected.removeprefix("one of ").replace("\t", "\\t")
    return _KINDS.get(key, "a list of texts" if holds_list(field) else "text")


_KINDS: Final = {
    "turf": "grasses with shares adding up to 1",
    "shares": "grasses with shares adding up to 1",
    "seed_order": "month-day or date",
    "sod_order": "month-day or date",
    "opening": "month-day or date",
}


def _left_out(field: FieldInfo, path: str, key: str) -> str:
    if f"{path}.{key}" in PRESET_ANSWERS:
        return "from the preset"
    if field.is_required():
        return "**required**"
    return _default(field.default)


def _default(value: Any) -> str:
    if value is None or value is PydanticUndefined or value in ("", ()):
        return "-"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple):
        return ", ".join(f'"{part}"' for part in value)
    return value.isoformat() if isinstance(value, date) else f"`{value}`"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _templates() -> str:
    rows = [
        "| template | the spot | holds_water mm | drainage | slope % | faces | shade | wind | cold_air | snow | source |",
        "|---|---|---|---|---|---|---|---|---|---|---|",
    ]
    for name, t in TEMPLATES.items():
        rows.append(
            f"| {name} | {t.means} | {t.holds_water:g} | {t.drainage} | {t.slope:g} | {t.faces} | {t.shade} | {t.wind} |"
            f" {t.cold_air} | {t.snow} | {t.source} |"
        )
    return "## Zone templates\n\nWhat a template fills in; your own word in a zone wins.\n\n" + "\n".join(
        rows
    )


def _shade() -> str:
    rows = ["| shade | height of the horizon in degrees |", "|---|---|"]
    for word, heights in SHADE.items():
        rows.append(f"| {word} | {', '.join(f'{d} {h:g}' for d, h in heights.items()) or 'open all round'} |")
    return (
        "## Shade words\n\nJudged heights of trees or hills; `horizon` with your own measurements wins."
        " A direction between two measured ones takes their mean, other directions count as open.\n\n"
        + "\n".join(rows)
    )


def _presets() -> str:
    rows = [
        "| preset | turf | build | mat mm | gauge | seed | sod | opening | currency | units | source |",
        "|---|---|---|---|---|---|---|---|---|---|---|",
        *(_preset_row(name, preset) for name, preset in PRESETS.items()),
        _preset_row("none named", NO_PRESET),
    ]
    return (
        "## Presets\n\nWhat is assumed where the file is silent; you may change every one.\n\n"
        + "\n".join(rows)
    )


def _preset_row(name: str, preset: Preset) -> str:
    turf = ", ".join(f"{species} {share:g}" for species, share in preset.turf.items())
    return (
        f"| {name} | {turf} ({preset.biotype}) | {preset.build} | {preset.thatch:g} | {preset.gauge} |"
        f" {preset.seed_order} | {preset.sod_order} | {preset.opening} | {preset.currency} | {preset.units} | {preset.source} |"
    )


def _units() -> str:
    return (
        "## Units of the station's columns\n\nThe first unit in each row of `[station.columns]` is taken when none is"
        ' written. Write another as `{column = "TempF", unit = "degF"}`.'
    )


_INTRODUCTION: Final = f"""
# The course file

`course.toml` in the course folder describes the place, the greens and the spots on them, and the weather record.
`winterrisk new FOLDER` writes a starter; `winterrisk check FOLDER` names every fault at once, then what is missing or
doubtful. Only `[place]`, `[[areas]]` with their zones, and `[station]` are required. Lists are counted from 1 in
messages: `areas[2].zones[1]` is the first zone of the second area.

A zone is called by its area and its own name everywhere: zone `low` of area `4` is "4 low". What a zone leaves out
comes from its template, then its area, then the course, then the preset. Names of grasses may be written the usual
ways (Poa, creeping bent, tunrapp, vitgröe, ...).

Scope: {SCOPE}.

This page is made from the program's own checks; a test compares the two.
"""
