"""The rows of one delivery as bytes: column after column, small and quick to read, each number to its last bit.

Cells are deflated (zlib); inside stand, one after the other, little-endian: time of each row and, where the
layout says so, its `known` (int64, seconds since 1970 UTC, each less the one before); the values of each
variable (float64, NaN where nothing is told); the origins of each variable that has them (int8). The layout is
JSON: rows, known (0 or 1), values and origin (names in order).
"""

import json
import zlib
from collections.abc import Mapping
from typing import Any, Final

import numpy as np

from winterrisk.weather.receipts import Receipt
from winterrisk.weather.received import Received
from winterrisk.weather.variables import VARIABLES

LEVEL: Final = 4
"""Of deflating: beyond it 30 years take three times as long for a tenth less room."""
WHOLE, NUMBER, MARK = np.dtype("<i8"), np.dtype("<f8"), np.dtype("i1")


def packed(part: Received) -> tuple[str, bytes]:
    """Layout and cells of one delivery."""
    own = bool(np.any(part.known != part.receipts[-1].known))
    layout = {
        "rows": len(part.times),
        "known": int(own),
        "values": list(part.values),
        "origin": list(part.origin),
    }
    columns = [_less_the_one_before(part.times)] + [_less_the_one_before(part.known)] * own
    columns += [part.values[n].astype(NUMBER).tobytes() for n in layout["values"]]  # type: ignore[attr-defined]
    columns += [part.origin[n].astype(MARK).tobytes() for n in layout["origin"]]  # type: ignore[attr-defined]
    return json.dumps(layout), zlib.compress(b"".join(columns), LEVEL)


def unpacked(source: str, receipt: Mapping[str, Any], layout_text: str, cells: bytes) -> Received:
    """A delivery as it was packed.

    Args:
        receipt: known (UTC), attrs, assumed, new, changed, set_back.
    Raises:
        ValueError: layout and cells do not belong together; also KeyError, TypeError, zlib.error.
    """
    layout = json.loads(layout_text)
    rows, names, marked = int(layout["rows"]), tuple(layout["values"]), tuple(layout["origin"])
    if rows < 0 or not {*names, *marked} <= set(VARIABLES):
        raise ValueError("rows or variables that cannot be")
    whole = 1 + int(bool(layout["known"]))
    size = rows * (WHOLE.itemsize * whole + NUMBER.itemsize * len(names) + len(marked))
    content = zlib.decompressobj().decompress(cells, size + 1)
    if len(content) != size:
        raise ValueError("more or fewer cells than rows")
    numbers = rows * WHOLE.itemsize
    known = np.datetime64(receipt["known"], "s")
    times = _summed(content[:numbers])
    at = _summed(content[numbers : 2 * numbers]) if whole == 2 else np.full(rows, known)
    values = np.frombuffer(content, NUMBER, rows * len(names), whole * numbers).reshape(len(names), rows)
    marks = np.frombuffer(content, MARK, rows * len(marked), size - rows * len(marked))
    had = (*names, *(f"{name}_origin" for name in marked))
    told = Receipt(**{**receipt, "known": known}, variables=had, since=at.min() if rows else known)
    return Received(
        source,
        times,
        at,
        dict(zip(names, values, strict=True)),
        dict(zip(marked, marks.reshape(len(marked), rows), strict=True)),
        (told,),
    )


def _less_the_one_before(times: np.ndarray) -> bytes:
    return np.diff(times.astype(WHOLE), prepend=WHOLE.type(0)).astype(WHOLE).tobytes()


def _summed(content: bytes) -> np.ndarray:
    return np.cumsum(np.frombuffer(content, WHOLE)).astype("datetime64[s]")
