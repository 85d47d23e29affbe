"""A station file as text: comments off, header found, and plain words where it is no table at all."""

import csv
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.faults import Fault
from winterrisk.weather.refused import WeatherError

DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars", " ": "spaces"}
COMMENT = "#"


@dataclass(frozen=True)
class StationTable:
    """Columns of text and, for each row, the line of the file it stood on."""

    header: tuple[str, ...]
    columns: dict[str, list[str]]
    lines: NDArray[np.int64]


def decoded(content: bytes, where: str) -> str:
    """The text of a file's bytes.

    Raises:
        WeatherError: the bytes are no text (packed, a spreadsheet, an image), or none at all.
    """
    if not content.strip():
        raise WeatherError(Fault(where, "an empty file", "a table of weather", "export it again"))
    if content[:2] in (b"\x1f\x8b", b"PK"):
        found = "a packed file or spreadsheet"
        raise WeatherError(Fault(where, found, "plain CSV text", "unpack it or save it as CSV"))
    if b"\x00" in content:
        found = "binary data"
        raise WeatherError(Fault(where, found, "plain CSV text in UTF-8", "save it as CSV (UTF-8)"))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("latin-1")
    if text.lstrip()[:1] == "<":
        found = "a web page"
        raise WeatherError(Fault(where, found, "plain CSV text", "download the data file itself"))
    return text


def table_of_text(text: str, where: str, delimiter: str = ",") -> StationTable:
    """The table in a text: `#` lines and blank lines left out, first other line the header.

    Raises:
        WeatherError: only a header, wrong delimiter, or a row longer than the header.
    """
    rows = text.splitlines()
    numbers = [
        i for i, row in enumerate(rows, start=1) if row.strip() and not row.lstrip().startswith(COMMENT)
    ]
    if not numbers:
        raise WeatherError(Fault(where, "only comment lines", "a table of weather", "export it again"))
    header = _cells(rows[numbers[0] - 1], delimiter)
    _refuse_other_delimiter(rows[numbers[0] - 1], len(header), where, delimiter)
    if len(numbers) == 1:
        raise WeatherError(Fault(where, "a header and no rows", "rows of weather", "export it again"))
    if len(set(header)) < len(header):
        twice = sorted({h for h in header if header.count(h) > 1})
        found = f"the column {twice[0]!r} twice"
        raise WeatherError(
            Fault(f"{where} line {numbers[0]}", found, "each column once", "rename one of them")
        )
    cells = [_split(rows[i - 1], delimiter) for i in numbers[1:]]
    for line, row in zip(numbers[1:], cells, strict=True):
        if len(row) != len(header):
            found, expected = f"{len(row)} cells", f"{len(header)} as in the header"
            raise WeatherError(Fault(f"{where} line {line}", found, expected, "mend or remove that line"))
    columns = {name: list(column) for name, column in zip(header, zip(*cells, strict=True), strict=True)}
    return StationTable(header, columns, np.array(numbers[1:], dtype=np.int64))


def _split(row: str, delimiter: str) -> list[str]:
    if '"' in row:
        return next(csv.reader([row], delimiter=delimiter))
    return row.split() if delimiter == " " else row.split(delimiter)


def _cells(row: str, delimiter: str) -> tuple[str, ...]:
    return tuple(cell.strip() for cell in _split(row, delimiter))


def _refuse_other_delimiter(header: str, cells: int, where: str, delimiter: str) -> None:
    if cells > 1:
        return
    counts = {d: len(_split(header, d)) for d in DELIMITERS if d != delimiter}
    best = max(counts, key=lambda d: (d != " " and counts[d] > 1, counts[d]))
    if counts[best] > 1:
        found = f"columns parted by {DELIMITERS[best]}"
        expected = DELIMITERS.get(delimiter, repr(delimiter))
        written = repr(best) if best != "\t" else r'"\t"'
        raise WeatherError(Fault(where, found, expected, f"set station.delimiter = {written}"))
    raise WeatherError(Fault(where, "a single column", "a table with a time column", "check the export"))
