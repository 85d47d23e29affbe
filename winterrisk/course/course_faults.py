"""Faults of a written course file in a reader's words: what was found, expected, where, and the next move."""

from collections.abc import Mapping, Sequence, Sized
from datetime import date
from typing import Any, Final

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from winterrisk.course.agreement import disagreements, zone_label
from winterrisk.course.section import (
    expected_by,
    field_of,
    holds_list,
    known_keys,
    section_in,
    words_in,
)
from winterrisk.science.faults import Fault, Refused, nearest

COURSE_FILE: Final = "course.toml"
AGREEMENT: Final = "agreement"
"""Type of the error a course built in code raises for faults between its parts."""


class CourseFileError(Refused):
    """The course file cannot be used; carries every fault of it."""


def course_faults(error: ValidationError, raw: Mapping[str, Any], root: type[BaseModel]) -> list[Fault]:
    """Every fault of a written course file, in the order of the file's keys.

    Args:
        error: what the models found.
        raw: the file as written.
        root: the model of the whole file.
    """
    found = [e for e in error.errors(include_url=False) if e["type"] != AGREEMENT and not _is_echo(e)]
    return [_in_words(e, raw, root) for e in found] + disagreement_faults(raw)


def _is_echo(error: ErrorDetails) -> bool:
    """True for a list called too short only because its items are faulty."""
    least = error.get("ctx", {}).get("min_length", 1)
    return error["type"] == "too_short" and isinstance(error["input"], Sized) and len(error["input"]) >= least


def disagreement_faults(raw: Mapping[str, Any]) -> list[Fault]:
    """Faults between the parts of a written course file, with the file's name in front."""
    return [
        Fault(f"{COURSE_FILE} {fault.where}", fault.found, fault.expected, fault.next_move)
        for fault in disagreements(raw)
    ]


def _in_words(error: ErrorDetails, raw: Mapping[str, Any], root: type[BaseModel]) -> Fault:
    loc = [part for part in error["loc"] if part != "[key]"]
    where = f"{COURSE_FILE} {key_text(loc)}{_of_zone(loc, raw)}"
    model, field, is_entry = _model_and_field(loc, root)
    kind, found = error["type"], shown(error["input"])
    if kind == "extra_forbidden":
        return _unknown_key(where, str(loc[-1]), model, root)
    if kind == "missing":
        return Fault(where, "nothing", _missing_expected(field, loc), "add it")
    if kind == "refused":
        context = error.get("ctx", {})
        found = context.get("found") or found
        return Fault(where, found, str(context.get("expected")), str(context.get("next_move")))
    if field is None:
        return Fault(where, found, "another value", "correct it")
    if kind == "too_short":
        return Fault(where, found, f"at least one: {field.description}", "add one")
    if kind == "literal_error":
        words = words_in(field)
        like = nearest(error["input"], words) if isinstance(error["input"], str) else None
        expected = expected_by(field, entry=False) if not is_entry else "one of " + ", ".join(words)
        return Fault(where, found, expected, f'nearest is "{like}"; correct it' if like else "correct it")
    if kind == "string_type":
        return Fault(where, found, f"text: {field.description}", "put it between quotation marks")
    if kind in ("tuple_type", "model_type", "model_attributes_type", "dict_type"):
        return Fault(where, found, _shape_expected(kind, field, loc), "correct it")
    return Fault(where, found, expected_by(field, entry=is_entry), "correct it")


def key_text(loc: Sequence[str | int]) -> str:
    """A key as a reader finds it, lists counted from 1: areas[2].zones[1].shade."""
    text = ""
    for part in loc:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}"
    return text.removeprefix(".") or "as a whole"


def shown(value: object) -> str:
    """A value as it stands in the file, cut short when it is long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        text = f'"{value}"'
    elif isinstance(value, date):
        return value.isoformat()
    elif isinstance(value, Mapping):
        text = "a table with " + ", ".join(map(str, value)) if value else "an empty table"
    elif isinstance(value, list | tuple):
        text = f"a list of {len(value)}" if value else "an empty list"
    else:
        text = _number_text(value)
    text = text.replace("\n", " ")
    return text if len(text) <= 60 else text[:57] + "..."


def _number_text(value: object) -> str:
    try:
        return str(value)
    except ValueError:
        return "a number of thousands of digits"


def _of_zone(loc: Sequence[str | int], raw: Any) -> str:
    """The area or zone a key belongs to, by name, since people do not count tables."""
    names = []
    for i, part in enumerate(loc):
        if not isinstance(part, int):
            raw = raw.get(part) if isinstance(raw, Mapping) else None
        else:
            raw = raw[part] if isinstance(raw, list | tuple) and part < len(raw) else None
            if i and loc[i - 1] in ("areas", "zones") and isinstance(raw, Mapping) and "name" in raw:
                names.append(raw["name"])
    return f' ("{zone_label(*names) if len(names) == 2 else names[0]}")' if names else ""


def _model_and_field(
    loc: Sequence[str | int], root: type[BaseModel]
) -> tuple[type[BaseModel] | None, FieldInfo | None, bool]:
    """The section a key stands in, its field, and whether the key is an entry inside that field."""
    model: type[BaseModel] | None = root
    field: FieldInfo | None = None
    for part in loc:
        if isinstance(part, int):
            continue
        if field is not None:
            inside = section_in(field)
            if inside is None:
                return model, field, True
            model = inside
        field = field_of(model, part) if model is not None else None
        if field is None:
            break
    return model, field, False


def _unknown_key(where: str, key: str, model: type[BaseModel] | None, root: type[BaseModel]) -> Fault:
    keys = known_keys(model or root)
    like = nearest(key, keys)
    homes = [
        home for home, inside in _all_sections(root) if inside is not model and key in known_keys(inside)
    ]
    if len(homes) == 1:
        return Fault(where, "a key that does not belong here", f"it in {homes[0]}", "move it there")
    if like is not None:
        return Fault(
            where, "an unknown key", f'a known one, nearest is "{like}"', "correct it or take it out"
        )
    return Fault(where, "an unknown key", "one of " + ", ".join(keys), "correct it or take it out")


def _all_sections(root: type[BaseModel], above: str = "") -> list[tuple[str, type[BaseModel]]]:
    found = []
    for key in known_keys(root):
        field = field_of(root, key)
        inside = section_in(field) if field is not None else None
        if field is not None and inside is not None:
            found.append((_heading(above + key, field), inside))
            found += _all_sections(inside, f"{above}{key}.")
    return found


def _heading(key: str, field: FieldInfo) -> str:
    return f"[[{key}]]" if holds_list(field) else f"[{key}]"


def _missing_expected(field: FieldInfo | None, loc: Sequence[str | int]) -> str:
    if field is None:
        return "a value"
    if section_in(field) is not None:
        return f"a section {_heading('.'.join(str(part) for part in loc if isinstance(part, str)), field)}"
    return (
        f"{field.description} ({expected_by(field)})"
        if expected_by(field) != field.description
        else expected_by(field)
    )


def _shape_expected(kind: str, field: FieldInfo, loc: Sequence[str | int]) -> str:
    heading = _heading(".".join(str(part) for part in loc if isinstance(part, str)), field)
    if section_in(field) is not None:
        return f"a section written {heading}"
    return "a list in square brackets" if kind == "tuple_type" else (field.description or "a table")
