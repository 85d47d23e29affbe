"""What differs between two reports of one winter, in words: rows of the logs gone, new or written otherwise."""

import datetime as dt
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from winterrisk.reports.season_logs import KEYS
from winterrisk.reports.units import percent, size_words
from winterrisk.reports.words import day_in_words, joined

Row = Mapping[str, Any]
Season = Mapping[str, Any]

MOST_LINES = 12
"""Lines before the rest is counted (judged: what is read before it is scrolled)."""
PLURALS = {
    "survey": "surveys",
    "night": "nights",
    "plug": "plugs",
    "look": "looks at plugs",
    "decision": "decisions",
    "observation": "rows of what was seen and done",
    "batch": "batches",
    "thresholds": "adopted thresholds",
    "course": "lines of the course",
}
NOTHING = "nothing changed"


def season_changes(before: Season, after: Season) -> list[str]:
    """What differs, most important first, at most a dozen lines and then a count; empty where nothing does.

    First what the winter came to (dead share, scores), then the rows behind it: surveys, nights, plugs,
    looks, decisions, what was seen and done, batches, thresholds, the course.

    Args:
        before, after: records of `season_record` of the same winter.
    """
    if before == after:
        return []
    lines = [("result", line) for line in _results(before, after)]
    old, new = before.get("logs"), after.get("logs")
    if old is None or new is None:
        lines.append(
            ("result", "the report before kept no rows of the logs: which of them differ is unknown")
        )
    else:
        lines += [(log, line) for log in KEYS for line in _log_lines(log, old, new)]
    lines += [("course", line) for line in _course(before, after)]
    if not lines:
        differ = sorted(k for k in {*before, *after} if before.get(k) != after.get(k))
        return [f"other figures from the same rows, in: {', '.join(differ)}"]
    told = [line for _, line in lines]
    if len(told) <= MOST_LINES:
        return told
    rest = Counter(log for log, _ in lines[MOST_LINES:])
    counts = [f"{n} {PLURALS.get(log, log)}" for log, n in rest.items()]
    return [*told[:MOST_LINES], f"and {sum(rest.values())} more: {joined(counts)}"]


def _results(before: Season, after: Season) -> list[str]:
    lines = []
    old, new = (_dead(season) for season in (before, after))
    if old != new:
        lines.append(f"dead share of the {after['damage_of']} surveyed: {new} was {old}")
    scores = {zone["zone"]: zone["score"] for zone in before["zones"]}
    moved = [
        f"{zone['zone']} {zone['score']} was {scores[zone['zone']]}"
        for zone in after["zones"]
        if scores.get(zone["zone"], zone["score"]) != zone["score"]
    ]
    if moved:
        lines.append(f"scores: {'; '.join(moved)}")
    for words, figure in (
        ("days lost to weather", _weather_days),
        ("green-days lost to dead turf", _green_days),
    ):
        one, other = figure(before), figure(after)
        if one != other:
            lines.append(f"{words}: {other} was {one}")
    return lines


def _weather_days(season: Season) -> str:
    return _known(season.get("cost", {}).get("weather_days"))


def _green_days(season: Season) -> str:
    return _known((season.get("cost", {}).get("green_days") or [None] * 2)[1])


def _known(figure: Any) -> str:
    return "not known" if figure is None else f"{figure:g}"


def _dead(season: Season) -> str:
    dead = season["damage"]["dead"]
    return "not known" if dead is None else percent(dead)


def _log_lines(log: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    """Rows of one log: written otherwise, gone, new."""
    gone, new = _apart(before.get(log, []), after.get(log, []))
    pairs, gone, new = _paired(log, gone, new)
    lines = [_changed(log, one, other) for one, other in pairs]
    if log == "night":
        return lines + _nights(gone, "not in the folder any more") + _nights(new, "new in the folder")
    for rows, word, here, there in (
        (gone, "no longer in the book", before, after),
        (new, "new in the book", after, before),
    ):
        for row in rows:
            if log == "look" and not _has_plug(there, row["row"]["plug"]):
                continue
            looks = _looks_of(here, row["row"]["id"]) if log == "plug" else 0
            beside = f", with its {looks} look{'s' if looks > 1 else ''}" if looks else ""
            lines.append(f"{row['about']}: {word}{beside}: {'; '.join(row['says'])}")
    return lines


def _has_plug(logs: Mapping[str, Any], plug: str) -> bool:
    """Whether a side has a plug: a look that goes or comes with its plug is told with the plug."""
    return any(row["row"]["id"] == plug for row in logs.get("plug", []))


def _looks_of(logs: Mapping[str, Any], plug: str) -> int:
    return sum(row["row"]["plug"] == plug for row in logs.get("look", []))


def _apart(before: Sequence[Row], after: Sequence[Row]) -> tuple[list[Row], list[Row]]:
    """The rows that only one of two logs has; a row written twice counts twice."""
    left = list(after)
    gone = []
    for row in before:
        if row in left:
            left.remove(row)
        else:
            gone.append(row)
    return gone, left


def _paired(log: str, gone: list[Row], new: list[Row]) -> tuple[list[tuple[Row, Row]], list[Row], list[Row]]:
    """Rows of one key that stand on both sides, and what is left of each side."""
    left, pairs, alone = list(new), [], []
    for row in gone:
        same = next((other for other in left if _key(log, other) == _key(log, row)), None)
        if same is None:
            alone.append(row)
        else:
            left.remove(same)
            pairs.append((row, same))
    return pairs, alone, left


def _key(log: str, row: Row) -> tuple[str, ...]:
    return tuple(row["row"][name] for name in KEYS[log])


def _changed(log: str, before: Row, after: Row) -> str:
    old, new = list(before["says"]), list(after["says"])
    if len(old) == len(new):
        differ = [i for i in range(len(old)) if old[i] != new[i]]
        old, new = [old[i] for i in differ], [new[i] for i in differ]
    if old != new:
        return f"{after['about']}: {'; '.join(new) or 'nothing'} was {'; '.join(old) or 'nothing'}"
    if log == "night":
        return f"{after['about']}: other figures, the same calls"
    columns = [
        f"{name} {after['row'].get(name) or 'empty'} was {before['row'].get(name) or 'empty'}"
        for name in {**before["row"], **after["row"]}
        if before["row"].get(name) != after["row"].get(name)
    ]
    return f"{after['about']}: {'; '.join(after['says'])}: {', '.join(columns) or 'told in other words'}"


def _nights(rows: Sequence[Row], word: str) -> list[str]:
    """Nights in a row as one line."""
    days = sorted(dt.date.fromisoformat(row["row"]["on"]) for row in rows)
    lines = []
    for _, run in groupby(enumerate(days), lambda pair: pair[1].toordinal() - pair[0]):
        spell = [day for _, day in run]
        first, last = day_in_words(spell[0]), day_in_words(spell[-1])
        span = f"night of {first}" if len(spell) == 1 else f"{len(spell)} nights, {first} to {last}"
        lines.append(f"{span}: {word}")
    return lines


def _course(before: Season, after: Season) -> list[str]:
    """Zones of the course file, the thresholds plugs are read with, and the package."""
    old, new = ({zone["zone"]: zone for zone in season["zones"]} for season in (before, after))
    lines = [f"{name}: no longer a zone of course.toml" for name in old if name not in new]
    lines += [f"{name}: new in course.toml" for name in new if name not in old]
    for name in (name for name in new if name in old):
        one, other = old[name], new[name]
        if one["size_m2"] != other["size_m2"]:
            sizes = [size_words(zone["size_m2"], after["units"]) for zone in (other, one)]
            lines.append(f"{name}: {sizes[0]} was {sizes[1]}")
        lines += [f"{name}: {other[k]} was {one[k]}" for k in ("template", "kind") if one[k] != other[k]]
    for field in ("course", "units", "version"):
        if before[field] != after[field]:
            what = "package" if field == "version" else field
            lines.append(f"{what}: {after[field]} was {before[field]}")
    read_with = [season["thresholds"]["plugs_read_with"] for season in (before, after)]
    if read_with[0] != read_with[1]:
        lines.append(f"plugs are read with thresholds {read_with[1]}, before with {read_with[0]}")
    for field, words in (
        ("later_runs", "later runs of a night, left out"),
        ("hindsight_runs", "runs with hindsight, left out"),
    ):
        one, other = before["data"][field], after["data"][field]
        if one != other:
            lines.append(f"{words}: {other} was {one}")
    lines += _replays(before, after)
    unread = sorted(set(after["data"]["unreadable"]) - set(before["data"]["unreadable"]))
    return [*lines, *(f"{path}: cannot be read" for path in unread)]


def _replays(before: Season, after: Season) -> list[str]:
    """Whether both reports replayed the winter, and the winters whose weather on record differs."""
    reasons = [season.get("not_replayed") or "" for season in (before, after)]
    if "winters" not in before or "winters" not in after or reasons[0] != reasons[1]:
        told = [reason or "worked" for reason in reasons]
        return [f"replays of the winter: {told[1]} was {told[0]}"]
    old, new = ({row["winter"]: row for row in season["winters"]} for season in (before, after))
    moved = sorted(name for name in {*old, *new} if old.get(name) != new.get(name))
    return [f"weather on record: other figures for {joined(moved)}"] if moved else []
