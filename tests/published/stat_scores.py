"""Compare public functions with published and reference values: a line a row, one summary line last.

    python tests/published/stat_scores.py [ROWS.csv]...

ROWS.csv has the columns id, function (dotted name), arguments (JSON: a list, or an object of names), value
(JSON: number, truth, text, or a list of them), tolerance (absolute) and citation. Without a file the
shipped table is used. Exit code 1 where a row is off.
"""

import csv
import importlib
import json
import math
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np

SHIPPED = Path(__file__).parent / "data" / "stat_rows.csv"
PACKAGE = "winterrisk"
COLUMNS = ("id", "function", "arguments", "value", "tolerance", "citation")


def function_named(dotted: str) -> Callable[..., Any]:
    """The function of a dotted name; "winterrisk." may be left out."""
    parts = dotted.split(".")
    if parts[0] != PACKAGE:
        parts = [PACKAGE, *parts]
    for cut in range(len(parts) - 1, 0, -1):
        try:
            found: Any = importlib.import_module(".".join(parts[:cut]))
            for name in parts[cut:]:
                found = getattr(found, name)
        except (ImportError, AttributeError):
            continue
        return found
    raise LookupError(f"no function {dotted}")


def plain(value: Any) -> Any:
    """A result as plain numbers and lists."""
    if is_dataclass(value) and not isinstance(value, type):
        own = type(value)
        derived = [n for n in dir(own) if isinstance(getattr(own, n), property)]
        return {n: plain(getattr(value, n)) for n in (*(f.name for f in fields(value)), *derived)}
    if isinstance(value, np.ndarray | np.generic):
        return plain(value.tolist())
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    return value


def agrees(found: Any, wanted: Any, tolerance: float) -> bool:
    """Whether a result is the wanted value, numbers within the tolerance, never NaN."""
    if isinstance(wanted, Mapping):
        return isinstance(found, Mapping) and all(
            k in found and agrees(found[k], v, tolerance) for k, v in wanted.items()
        )
    if isinstance(wanted, list):
        return (
            isinstance(found, list)
            and len(found) == len(wanted)
            and all(agrees(f, w, tolerance) for f, w in zip(found, wanted, strict=True))
        )
    if isinstance(found, list) and len(found) == 1:
        return agrees(found[0], wanted, tolerance)
    if isinstance(wanted, bool | str) or wanted is None:
        return bool(found == wanted)
    if not isinstance(found, int | float):
        return False
    return found == wanted or (math.isfinite(found) and abs(found - wanted) <= tolerance)


def score(row: Mapping[str, str]) -> tuple[bool, str]:
    """Whether a row agrees, and the line to print."""
    try:
        arguments, wanted = json.loads(row["arguments"]), json.loads(row["value"])
        function = function_named(row["function"])
        found = plain(function(**arguments) if isinstance(arguments, dict) else function(*arguments))
        good = agrees(found, wanted, float(row["tolerance"]))
    except Exception as fault:
        return False, f"FAIL {row['id']}: {row['function']}: {type(fault).__name__}: {fault}"
    return good, f"{'ok  ' if good else 'FAIL'} {row['id']}: {row['function']} = {found}, wanted {wanted}"


def read_rows(path: Path) -> list[dict[str, str]]:
    """Rows of a table of reference values."""
    with path.open(newline="", encoding="utf-8") as file:
        reader = csv.DictReader(line for line in file if not line.startswith("#"))
        rows = list(reader)
    missing = [name for name in COLUMNS if name not in (reader.fieldnames or ())]
    if missing:
        raise SystemExit(f"{path}: no column {', '.join(missing)}")
    return rows


def main(paths: Iterable[str]) -> int:
    """Print every row and the summary; 1 where a row is off."""
    rows = [row for path in (list(paths) or [str(SHIPPED)]) for row in read_rows(Path(path))]
    bad = 0
    for row in rows:
        good, line = score(row)
        bad += not good
        print(line)
    print(f"stat_scores: {len(rows) - bad} of {len(rows)} rows agree")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
