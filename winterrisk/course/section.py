"""What every section of the course file shares: no unknown keys, strict numbers, forgiving words."""

import re
from collections.abc import Iterable, Mapping
from types import UnionType
from typing import Annotated, Any, Final, Literal, Union, get_args, get_origin

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    Strict,
)
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema


class Section(BaseModel):
    """A table of the course file; a key it does not know is refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True, allow_inf_nan=False)


def refusal(expected: str, next_move: str, found: str = "") -> PydanticCustomError:
    """The error a validator raises: expected, next move, and what was found where that is not the whole."""
    return PydanticCustomError(
        "refused", "{expected}", {"expected": expected, "next_move": next_move, "found": found}
    )


class Forgiving:
    """Lets a word of a `Literal` be written with other capitals, or spaces for _ and -."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        words = _words(source)
        known = {plain_word(word): word for word in words}

        def matched(value: object) -> object:
            return known.get(plain_word(value), value) if isinstance(value, str) else value

        return core_schema.no_info_before_validator_function(matched, handler(source))


def _words(literal: Any) -> tuple[str, ...]:
    return tuple(str(word) for word in get_args(literal))


def plain_word(word: str) -> str:
    """The word in small letters, with one space for spaces, _ and -."""
    return re.sub(r"[\s_-]+", " ", word.strip()).casefold()


def _text(value: object) -> object:
    return str(value) if isinstance(value, int) and not isinstance(value, bool) else value


def _speakable(name: str) -> str:
    if not name or len(name) > 40 or re.search(r'[/\\,;"_\n\r\t:]', name):
        raise refusal(
            'a name of 1 to 40 characters without / \\ , ; : " or _',
            "use letters, digits, spaces and hyphens",
        )
    return " ".join(name.split())


def _inside(path: str) -> str:
    parts = re.split(r"[/\\]", path)
    if ".." in parts or (path and (not parts[0] or ":" in parts[0])) or re.search(r"[\x00-\x1f\x7f]", path):
        raise refusal(
            "a path inside the course folder",
            "put the file there, or a link to it, and write its name from that folder on",
            path[:80],
        )
    return path


FORGIVING: Final = Forgiving()
Number = Annotated[float, Strict()]
Whole = Annotated[int, Strict()]
YesNo = Annotated[bool, Strict()]
Name = Annotated[str, BeforeValidator(_text), AfterValidator(_speakable)]
"""A name that can stand in a label, a file name and a CSV cell; a bare number is taken as its digits."""
InFolder = Annotated[str, AfterValidator(_inside)]
"""A file of the course folder: a course file that came from elsewhere cannot name other files of the machine. A link
can only be made by who owns the folder, and is followed."""


def number(says: str, low: float, high: float, unit: str, default: Any = ...) -> Any:
    """A field holding a number from low to high in a unit, with the sentence the reference prints."""
    return Field(default, ge=low, le=high, description=says, json_schema_extra={"unit": unit})


def said(says: str, default: Any = ..., **more: Any) -> Any:
    """A field with the sentence the reference prints."""
    return Field(default, description=says, **more)


def known_keys(model: type[BaseModel]) -> tuple[str, ...]:
    """The keys a person may write in this section."""
    return tuple(field.alias or name for name, field in model.model_fields.items())


def field_of(model: type[BaseModel], key: str) -> FieldInfo | None:
    """The field behind a written key, or None where the section has no such key."""
    for name, field in model.model_fields.items():
        if (field.alias or name) == key:
            return field
    return None


def inner_types(annotation: Any) -> Iterable[Any]:
    """The annotation and everything inside it, outermost first."""
    yield annotation
    if get_origin(annotation) is not Literal:
        for part in get_args(annotation):
            yield from inner_types(part)


def section_in(field: FieldInfo) -> type[BaseModel] | None:
    """The section a field holds, one or a list of them; None for a plain value."""
    for part in inner_types(field.annotation):
        if isinstance(part, type) and issubclass(part, BaseModel):
            return part
    return None


def words_in(field: FieldInfo) -> tuple[str, ...]:
    """The words a field accepts; empty where any value may stand."""
    for part in inner_types(field.annotation):
        if get_origin(part) is Literal:
            return _words(part)
    return ()


def holds_list(field: FieldInfo) -> bool:
    """True where the field holds a list of values or of tables."""
    return any(get_origin(part) is tuple for part in inner_types(field.annotation))


def holds_entries(field: FieldInfo) -> bool:
    """True where the field holds entries under names of their own, as shares by grass."""
    return any(get_origin(part) is dict for part in inner_types(field.annotation))


def expected_by(field: FieldInfo, *, entry: bool = False) -> str:
    """What a field expects, in words: the words it knows, its range and unit, or its sentence.

    Args:
        entry: True for one entry of a field that holds entries, False for the whole of it.
    """
    if holds_entries(field) and not entry:
        return field.description or "entries in braces"
    words = words_in(field)
    if words and not entry:
        return "one of " + ", ".join(
            word if word.strip() and word not in ",;|" else repr(word) for word in words
        )
    if (section := section_in(field)) is not None:
        return "a table with the keys " + ", ".join(known_keys(section))
    low, high = _bounds(field)
    unit = _unit(field)
    if low is not None and high is not None:
        kind = "a whole number" if int in set(inner_types(field.annotation)) else "a number"
        ends = (f"{end:,.15g}" if abs(end) >= 10_000 else f"{end:.15g}" for end in (low, high))
        return f"{kind} from {' to '.join(ends)}" + (f" {unit}" if unit else "")
    if bool in set(inner_types(field.annotation)):
        return "true or false"
    return field.description or "another value"


def _bounds(field: FieldInfo) -> tuple[float | None, float | None]:
    parts = [*field.metadata]
    for part in inner_types(field.annotation):
        parts += [m for meta in getattr(part, "__metadata__", ()) for m in getattr(meta, "metadata", [meta])]
    low = next((m.ge for m in parts if getattr(m, "ge", None) is not None), None)
    high = next((m.le for m in parts if getattr(m, "le", None) is not None), None)
    return low, high


def _unit(field: FieldInfo) -> str:
    extra = field.json_schema_extra
    return str(extra.get("unit", "")) if isinstance(extra, Mapping) else ""


def may_be_none(field: FieldInfo) -> bool:
    """True where a field may be left empty."""
    return get_origin(field.annotation) in (Union, UnionType) and type(None) in get_args(field.annotation)
