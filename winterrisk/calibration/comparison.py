"""Versions of thresholds, and courses, side by side."""

from collections.abc import Mapping

import numpy as np
import pandas as pd

from winterrisk.thresholds import TABLE, Thresholds

RANGE = (0.05, 0.95)


def comparison(versions: Mapping[str, Thresholds]) -> pd.DataFrame:
    """Rows of the table in which any two differ: threshold, unit, table, then for each version its value and, where a
    fit learned it, the 5-95 % range of its draws (`<name> low`, `<name> high`).

    Args:
        versions: name -> thresholds, in the order of the columns.
    """
    rows = []
    for key, row in TABLE.items():
        learned = any(key in v.joint for v in versions.values())
        if not learned and len({v.values[key] for v in versions.values()} | {row.value}) == 1:
            continue
        told: dict[str, object] = {"threshold": key, "unit": row.unit, "table": row.value}
        for name, version in versions.items():
            told[name] = version.values[key]
            draws = version.joint.get(key)
            low, high = (np.nan, np.nan) if draws is None else np.quantile(draws, RANGE)
            told |= {f"{name} low": float(low), f"{name} high": float(high)}
        rows.append(told)
    columns = ["threshold", "unit", "table", *(c for n in versions for c in (n, f"{n} low", f"{n} high"))]
    return pd.DataFrame(rows, columns=columns)


def comparison_lines(table: pd.DataFrame, names: list[str]) -> list[str]:
    """The table as lines to read."""
    if table.empty:
        return ["no value differs from the table's"]
    wide = [max(len(n), 16) for n in names]
    lines = [
        "  ".join(
            [f"{'threshold':36}", f"{'table':>8}", *(f"{n:>{w}}" for n, w in zip(names, wide, strict=True))]
        )
    ]
    for row in table.to_dict("records"):
        cells = [_cell(row, name) for name in names]
        padded = (f"{c:>{w}}" for c, w in zip(cells, wide, strict=True))
        lines.append("  ".join([f"{row['threshold']:36}", f"{row['table']:8.3g}", *padded]))
    return lines


def _cell(row: Mapping[str, object], name: str) -> str:
    value, low, high = (float(row[n]) for n in (name, f"{name} low", f"{name} high"))  # type: ignore[arg-type]
    return f"{value:.3g}" if np.isnan(low) else f"{value:.3g} ({low:.3g}-{high:.3g})"
