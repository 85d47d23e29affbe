"""Plugs, looks and batches noted in the book."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from winterrisk.book.append import Book
from winterrisk.book.grammar import noted
from winterrisk.book.line_places import take_zone
from winterrisk.book.line_tokens import tokens_of
from winterrisk.book.noting import Typed, clean_row
from winterrisk.book.places import label
from winterrisk.book.reading_back import local_text, look_words, plug_words
from winterrisk.book.refusal import BookError
from winterrisk.book.said_plug import look_values
from winterrisk.plugs import Batch, Plug, batches_from, plugs_from, warm_from
from winterrisk.science.faults import Fault, nearest
from winterrisk.thresholds import Thresholds


@dataclass(frozen=True)
class Room:
    """Where plugs of a new batch stand: "sill" or "lamp", degC, h d-1, mol m-2 d-1."""

    room: str = "sill"
    temperature: float | None = None
    light_hours: float | None = None
    light_mol: float | None = None


def _batch_words(id: str, room: Room, warm: np.datetime64, timezone: str) -> str:
    begun = f"batch {id} begun: {room.room}"
    warm_from = f"in the warm from {local_text(warm, timezone)}"
    if room.temperature is not None:
        return f"{begun} at {room.temperature:g} C, {warm_from}"
    return f"{begun}, {warm_from}; note how warm it is at the plugs: plug DIR batch '{id}' --temperature 18"


def note_plug(book: Book, line: str, typed: Typed, room: Room, batch: str = "", control: bool = False) -> str:
    """Note a plug; the sentences that say it back.

    A batch the book does not know is begun with it, in the course's plug room, in the warm after the usual
    hours of thawing. Without a name the batch is called by the day of the cut.
    """
    said = _noted(book, line, typed, "plugs")
    cut = typed.utc(said.day, said.clock)
    day = local_text(cut, typed.timezone)[:10]
    name = batch or said.values.get("batch") or day
    values = {**said.values, "cut": cut, "batch": name, "who": typed.who}
    values["control"] = control or bool(said.values["control"])
    values["label"] = f"{said.zone} {said.values['spot']} {day}".replace("  ", " ")
    row = clean_row("plugs", values, typed, repr(line))
    known = typed.known_at
    lines = []
    taken = list(book.record().batches["id"])
    same = next((b for b in taken if b.casefold() == str(name).casefold()), None)
    if same is None:
        warm = warm_from(Plug("", said.zone, cut), None, Thresholds.defaults().values)
        begun = {"id": name, "warm_from": warm, **room.__dict__, "who": typed.who}
        rows: list[tuple[str, Mapping[str, Any]]] = [("batches", begun), ("plugs", values)]
        lines.append(_batch_words(str(name), room, warm, typed.timezone))
    else:
        rows = [("plugs", {**values, "batch": same})]
    id = book.add_together(rows, known=known, where=repr(line))[-1]
    lines.insert(0, f"noted {plug_words({**row, 'id': id}, typed.timezone)}")
    return "\n".join(lines)


def note_batch(book: Book, id: str, typed: Typed, changes: Mapping[str, Any]) -> str:
    """Note a batch, or correct what the book holds of one: warm_from, room, temperature, light, void."""
    given = {name: value for name, value in changes.items() if value is not None}
    if id in set(book.record().batches["id"]):
        book.correct("batches", id, known=typed.known_at, who=typed.who, **given)
    else:
        book.add("batches", {"id": id, **given, "who": typed.who}, known=typed.known_at, where=f"batch {id}")
    said = ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in given.items())
    return f"noted batch {id}{': ' + said if said else ''}"


def _noted(book: Book, line: str, typed: Typed, table: str) -> Any:
    if book.places is None:
        raise BookError(
            Fault("course.toml", "no course", "a course whose zones can be named", "write one first")
        )
    return noted(line, book.places, typed.day or typed.today, inches=typed.inches, table=table)


def _at_spot(plugs: pd.DataFrame, values: Mapping[str, Any], where: str) -> str:
    """Id of the last plug cut at a zone's spot; where no spot was said, of the only plug of the last cut."""
    zone = label(values["area"], values["zone"])
    there = plugs[plugs["zone"] == zone]
    if values["spot"]:
        there = there[there["spot"].str.casefold() == values["spot"].casefold()]
    if there.empty:
        spots = sorted(set(plugs.loc[plugs["zone"] == zone, "spot"]) - {""})
        hint = f"its spots: {', '.join(spots)}" if spots else "add the plug first"
        raise BookError(
            Fault(where, f"no plug of {zone} {values['spot']}".strip(), "a plug of the book", hint)
        )
    last = there[there["cut"] == there["cut"].max()]
    if len(last) > 1:
        found = f"{len(last)} plugs of {zone} cut together"
        raise BookError(Fault(where, found, "one of them", "name it: " + ", ".join(last["id"])))
    return str(last["id"].iloc[0])


def _by_id(plugs: pd.DataFrame, id: str, where: str) -> str:
    folded = {str(name).casefold(): str(name) for name in plugs["id"]}
    if id.casefold() in folded:
        return folded[id.casefold()]
    close = nearest(id, folded.values())
    hint = f"did you mean {close}?" if close else "list them: winterrisk plug DIR list"
    raise BookError(Fault(where, f"plug {id!r}", "a plug of the book", hint))


def note_look(book: Book, line: str, typed: Typed, given: Mapping[str, Any]) -> str:
    """Note a look at a plug, named by id ("P3") or by its spot ("4 low A2"); the sentence that says it back.

    Args:
        given: new_growth [percent], species, colour, smell typed as options; they go before the line's.
    """
    where = repr(line)
    record = book.record()
    words = line.split()
    named = book.places is not None and take_zone(tokens_of(line), book.places) is not None
    if named or not words:
        said = _noted(book, line or " ", typed, "looks")
        plug = _at_spot(record.plugs, said.values, where)
        values = {k: v for k, v in said.values.items() if k not in ("area", "zone", "spot")}
        day, clock, day_warm = said.day, said.clock, said.day_warm
    elif len(words) == 1:
        plug = _by_id(record.plugs, words[0], where)
        values, day, clock, day_warm = look_values(""), None, None, None
    else:
        plug = _by_id(record.plugs, words[0], where)
        said = _noted(book, " ".join(["P1", *words[1:]]), typed, "looks")
        values, day, clock, day_warm = dict(said.values), said.day, said.clock, said.day_warm
    values |= {name: value for name, value in given.items() if value not in (None, "")}
    if given.get("species"):
        named_grass = look_values(str(given["species"]))["species"]
        values["species"] = given["species"] if named_grass == "all" else named_grass
    if given.get("new_growth") is not None:
        values["new_growth"] = float(given["new_growth"]) / 100.0
    growth = values.get("new_growth")
    if growth is not None and not 0 <= growth <= 1:
        raise BookError(Fault(f"{where}, new growth", f"{100 * growth:g} %", "0 to 100 %", "say it again"))
    time = typed.utc(day, clock)
    if day_warm is not None:
        time = _day_in_warm(record.plugs, record.batches, plug, day_warm, typed.known_at, where)
    values |= {"plug": plug, "time": time, "who": typed.who}
    row = clean_row("looks", values, typed, where)
    book.add("looks", values, known=typed.known_at, where=where)
    return f"noted {look_words(row, typed.timezone)}"


def _day_in_warm(
    plugs: pd.DataFrame, batches: pd.DataFrame, id: str, day: float, now: np.datetime64, where: str
) -> np.datetime64:
    """UTC of "day 5": so many days after the plug came into the warm; a day begun counts as now."""
    plug = plugs_from(plugs[plugs["id"] == id])[0]
    batch: Batch | None = batches_from(batches).get(plug.batch)
    time = warm_from(plug, batch, Thresholds.defaults().values) + np.timedelta64(round(day * 86400), "s")
    if time > now + np.timedelta64(1, "D"):
        raise BookError(
            Fault(where, f"day {day:g}, which is still to come", "a day up to now", "say another")
        )
    return min(time, now)
