"""What a check hands back: one row for each thing found, and the record without what was bad."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

Verdict = Literal["bad", "suspect", "unconfirmed", "note"]
ALL: Final = "all variables"
COLUMNS: Final = ("what", "time", "until", "value", "limit", "verdict", "check", "words")
"""what: variable or `ALL`; time, until: first and past-the-end label on the record's own axis (UTC hours or
local days); value, limit: the value that was found and the limit it crossed, in the unit of the variable or
as the check says; words: one sentence for the superintendent."""


@dataclass(frozen=True)
class Found:
    """One finding of a check."""

    what: str
    time: np.datetime64
    until: np.datetime64
    value: float
    limit: float
    verdict: Verdict
    check: str
    words: str


def rows(found: Iterable[Found] = ()) -> pd.DataFrame:
    """Findings as a table with the columns of `COLUMNS`, in the order given."""
    listed = [tuple(getattr(one, name) for name in COLUMNS) for one in found]
    return _table(listed) if listed else _nothing().copy()


@cache
def _nothing() -> pd.DataFrame:
    """A table without findings, which most checks of a night hand back."""
    return _table([])


def _table(listed: list[tuple[object, ...]]) -> pd.DataFrame:
    table = pd.DataFrame(listed, columns=list(COLUMNS))
    kinds = {"time": "datetime64[ns]", "until": "datetime64[ns]", "value": float, "limit": float}
    return table.astype(kinds)


def joined(tables: Sequence[pd.DataFrame]) -> pd.DataFrame:
    """Several tables of findings as one."""
    filled = [table for table in tables if len(table)]
    return pd.concat(filled, ignore_index=True) if filled else rows()


def measured(raw: xr.Dataset) -> list[str]:
    """Names of the variables of a record that hold values, not their origins."""
    return [str(name) for name, values in raw.data_vars.items() if values.dtype.kind == "f"]


def positions(found: pd.DataFrame, times: NDArray[np.datetime64]) -> list[tuple[str, int, int]]:
    """Variable, first and past-the-end position among `times` of every finding."""
    first = np.searchsorted(times, found["time"].to_numpy()).tolist()
    last = np.searchsorted(times, found["until"].to_numpy()).tolist()
    return list(zip(map(str, found["what"]), first, last, strict=True))


def without_bad(raw: xr.Dataset, found: pd.DataFrame) -> xr.Dataset:
    """A copy of a record (time) in which the values of every "bad" row are missing; nothing else is
    touched."""
    out = raw.copy(deep=True)
    times = out["time"].to_numpy()
    for what, first, last in positions(found[found["verdict"] == "bad"], times):
        for name in measured(out) if what == ALL else [what]:
            out[name].to_numpy()[first:last] = np.nan
    return out
