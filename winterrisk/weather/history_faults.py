"""Why a year of the online history did not come, in words, and what lacks in the years that did."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from winterrisk.science.faults import Fault

NOTHING_STANDS: Final = "nothing stands for it"


@dataclass(frozen=True)
class Reason:
    """Why nothing came, as the end of "found that …".

    absent: the history has no such file; unreachable: there is no use in asking for the next year.
    """

    words: str
    absent: bool = False
    unreachable: bool = False


NOT_ASKED: Final = Reason("it was not asked for, as the server could not be reached just before")
NEVER: Final = Reason("the history has no data for that year", absent=True)
NO_VALUES: Final = Reason("the file held no values")
UNREAD: Final = Reason("what came could not be read")


def year_faults(station: str, missed: Mapping[int, Reason], had: Iterable[int]) -> list[Fault]:
    """One fault for each run of years that failed alike.

    Args:
        station: its name. missed: by year. had: years that came.
    """
    known = sorted(had)
    told = {year: _placed(reason, year, known) for year, reason in missed.items()}
    faults = []
    for first, last in _runs_of(sorted(told), lambda a, b: told[a] == told[b]):
        words = told[first].words
        if last > first:
            words = words.replace("that year", "these years")
        faults.append(Fault(f"{station}, {years_text(first, last)}", f"that {words}", "", NOTHING_STANDS))
    return faults


def _placed(reason: Reason, year: int, had: Sequence[int]) -> Reason:
    """A file that lacks between others is a gap; before the first one the station had not begun."""
    if not reason.absent or not had or year < had[0]:
        return reason
    words = "between years that it has" if year < had[-1] else "any more"
    return Reason(f"the history has no file for that year {words}", absent=True)


def variable_faults(
    station: str, lacking: Mapping[str, Iterable[int]], found: str, next_move: str
) -> list[Fault]:
    """One fault for each variable and run of years.

    Args:
        station: its name. lacking: years by variable. found, next_move: as in `Fault`.
    """
    return [
        Fault(f"{station}, {years_text(first, last)}, {name.replace('_', ' ')}", found, "", next_move)
        for name, years in lacking.items()
        for first, last in _runs_of(sorted(years), lambda a, b: True)
    ]


def years_text(first: int, last: int) -> str:
    """Years as a person writes them: 2024, or 2019 to 2024."""
    return str(first) if first == last else f"{first} to {last}"


def _runs_of(years: Sequence[int], alike: Callable[[int, int], bool]) -> Iterator[tuple[int, int]]:
    first = None
    for at, year in enumerate(years):
        first = year if first is None else first
        following = years[at + 1] if at + 1 < len(years) else None
        if following != year + 1 or not alike(year, following):
            yield first, year
            first = None
