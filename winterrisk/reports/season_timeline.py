"""The winter of one zone as rows of a table: what was said, done and found, day by day."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from winterrisk.reports.season_causes import cause_words
from winterrisk.reports.season_plugs import cut_words
from winterrisk.reports.units import share_range
from winterrisk.reports.words import day_in_words

Row = dict[str, Any]


def survey_words(survey: Row) -> str:
    """A spring survey in words: 'survey: 30-50 % dead; cold (name)'."""
    dead = share_range(survey["low"], survey["high"])
    text = f"survey: {dead} dead; {cause_words(survey['cause'])}"
    return f"{text} ({survey['who']})" if survey["who"] else text


def timeline(
    said: Iterable[Row], done: Iterable[Row], plugs: Iterable[Row], survey: Row | None, units: str
) -> list[Row]:
    """Days on which something was said, done or found: date and three lists of sentences."""
    days: dict[str, Row] = defaultdict(lambda: {"said": [], "done": [], "found": []})
    for row in said:
        days[row["first"]]["said"].append(_repeated(row))
    for row in done:
        days[row["date"]]["done"].append(row["words"])
    for row in plugs:
        days[row["cut"]]["done"].append(cut_words(row, units))
        if row["settled"]:
            cut = day_in_words(dt.date.fromisoformat(row["cut"]))
            days[row["settled"]]["found"].append(f"plugs cut {cut}: {row['words']}")
        else:
            days[row["cut"]]["found"].append(row["words"])
    if survey:
        days[survey["date"]]["found"].append(survey_words(survey))
    return [{"date": date, **days[date]} for date in sorted(days)]


def _repeated(row: Row) -> str:
    if row["nights"] == 1:
        return str(row["words"])
    last = day_in_words(dt.date.fromisoformat(row["last"]))
    return f"{row['words']} (said on {row['nights']} nights, last on {last})"
