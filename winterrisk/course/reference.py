"""The page on every key of course.toml, made from the models so that it cannot drift."""

from collections.abc import Iterable, Sequence
from typing import Any, Final

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from winterrisk.course.area import Area
from winterrisk.course.course import Course
from winterrisk.course.presets import NO_PRESET, PRESETS, Preset
from winterrisk.course.scope import SCOPE
from winterrisk.course.section import expected_by, field_of, holds_list, known_keys, section_in
from winterrisk.course.shade import SHADE
from winterrisk.course.station import UNITS_OF, Columns, StationFile
from winterrisk.course.templates import TEMPLATES

FROM_PRESET: Final = {
    "place.units",
    "turf.shares",
    "turf.biotype",
    "gauge.kind",
    "money.currency",
    "calendar.seed_order",
    "calendar.sod_order",
    "calendar.opening",
}
"""Keys whose default comes from the preset."""

_IN_WORDS: Final = {
    "turf": "grasses with shares adding up to 1",
    "shares": "grasses with shares adding up to 1",
    "horizon": "degrees from 0 to 85 by direction",
    "seed_order": "month-day or date",
    "sod_order": "month-day or date",
    "opening": "month-day or date",
}
"""Keys whose values are neither a word of a list nor a number nor free text."""

_WITH_SECTIONS: Final[tuple[type[BaseModel], ...]] = (Area, StationFile)
"""Sections with sections of their own under a heading."""
_LIKE_STATION: Final = "`file` is required; the other keys are those of `[station]`, columns among them."


def course_file_reference() -> str:
    """The page docs/course_file.md: every section and key of course.toml, templates, shade words, presets."""
    parts = [_INTRODUCTION, *_sections(Course), _templates(), _shade(), _presets()]
    return "\n\n".join(part.strip() for part in parts) + "\n"


def _sections(model: type[BaseModel], above: str = "") -> list[str]:
    parts = []
    for key in known_keys(model):
        field = field_of(model, key)
        inside = section_in(field) if field is not None else None
        if field is None or inside is None:
            continue
        path = f"{above}{key}"
        heading = f"[[{path}]]" if holds_list(field) else f"[{path}]"
        words = " ".join((inside.__doc__ or "").split())
        if inside is StationFile:
            parts.append(f"## {heading}\n\n{words} {_LIKE_STATION}")
            continue
        parts.append(f"## {heading}\n\n{words}\n\n{_key_table(inside, path)}")
        if issubclass(inside, _WITH_SECTIONS):
            parts += _sections(inside, f"{path}.")
    return parts


def _key_table(model: type[BaseModel], path: str) -> str:
    rows = []
    for key in known_keys(model):
        field = field_of(model, key)
        if field is None or (issubclass(model, _WITH_SECTIONS) and section_in(field) is not None):
            continue
        cells = (
            f"`{key}`",
            field.description or "",
            _allowed(model, key, field),
            _left_out(field, f"{path}.{key}"),
        )
        rows.append(cells)
    return _table(("key", "meaning", "what may stand there", "left out"), rows)


def _allowed(model: type[BaseModel], key: str, field: FieldInfo) -> str:
    if model is Columns:
        return ", ".join(UNITS_OF[key]) if key in UNITS_OF else "text"
    if section_in(field) is not None:
        return "a list of tables" if holds_list(field) else "a table"
    if key in _IN_WORDS:
        return _IN_WORDS[key]
    expected = expected_by(field)
    if expected != field.description:
        return expected.removeprefix("one of ")
    return "a list of texts" if holds_list(field) else "text"


def _left_out(field: FieldInfo, path: str) -> str:
    if path in FROM_PRESET:
        return "from the preset"
    return "**required**" if field.is_required() else _default(field.default)


def _default(value: Any) -> str:
    if value is None or value in ("", ()):
        return "-"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple):
        return ", ".join(f'"{part}"' for part in value)
    return str(value)


def _templates() -> str:
    rows = [
        (
            name,
            spot.means,
            f"{spot.holds_water:g}",
            spot.drainage,
            f"{spot.slope:g}",
            spot.faces,
            spot.shade,
            spot.wind,
            spot.cold_air,
            spot.snow,
            spot.source,
        )
        for name, spot in TEMPLATES.items()
    ]
    heads = (
        "template",
        "the spot",
        "holds_water (mm)",
        "drainage",
        "slope (percent)",
        "faces",
        "shade",
        "wind",
    )
    table = _table((*heads, "cold_air", "snow", "source"), rows)
    return f"## Zone templates\n\nWhat a template fills in; your own word in a zone wins.\n\n{table}"


def _shade() -> str:
    rows = [
        (
            word,
            ", ".join(f"{direction} {height:g}" for direction, height in heights.items()) or "open all round",
        )
        for word, heights in SHADE.items()
    ]
    words = (
        "Judged heights of trees or hills; `horizon` with your own measurements wins. A direction between two"
        " measured ones takes their mean, other directions count as open."
    )
    return f"## Shade words\n\n{words}\n\n{_table(('shade', 'height of the horizon (degrees)'), rows)}"


def _presets() -> str:
    named = [*PRESETS.items(), ("none named", NO_PRESET)]
    heads = ("preset", "turf", "build", "mat (mm)", "gauge", "seed_order", "sod_order", "opening", "currency")
    table = _table((*heads, "units", "source"), [_preset_row(name, preset) for name, preset in named])
    return f"## Presets\n\nWhat is assumed where the file is silent; you may change every one.\n\n{table}"


def _preset_row(name: str, preset: Preset) -> tuple[str, ...]:
    turf = ", ".join(f"{species} {share:g}" for species, share in preset.turf.items())
    return (
        name,
        f"{turf} ({preset.biotype})",
        preset.build,
        f"{preset.thatch:g}",
        preset.gauge,
        preset.seed_order,
        preset.sod_order,
        preset.opening,
        preset.currency,
        preset.units,
        preset.source,
    )


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [heads, ["---"] * len(heads), *([cell.replace("|", "\\|") for cell in row] for row in rows)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


_INTRODUCTION: Final = f"""
# The course file

`course.toml` in the course folder describes the place, the greens and the spots on them, and the weather
record. `winterrisk new FOLDER` writes a starter; `winterrisk check FOLDER` names every fault at once, then
what is missing or doubtful. Only `[place]`, `[[areas]]` with their zones, and `[station]` are required.
Lists are counted from 1 in messages: `areas[2].zones[1]` is the first zone of the second area.

A zone is called by its area and its own name everywhere: zone `low` of area `4` is "4 low". What a zone
leaves out comes from its template, then its area, then the course, then the preset. Names of grasses may be
written the usual ways (Poa, creeping bent, tunrapp, vitgröe, ...). The file is in metric units whatever
`place.units` says: 1 inch is 25.4 mm, 1,000 ft2 are 93 m2, 100 ft are 30 m.

Scope: {SCOPE}.

This page is made from the program's own checks; a test compares the two.
"""
