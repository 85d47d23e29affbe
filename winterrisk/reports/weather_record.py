"""What is known of a course's weather, as plain values and as lines to read: sources, age, gaps, checks."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.reports.night_record import rounded
from winterrisk.reports.words import joined
from winterrisk.weather import ORIGINS, REQUIRED, VARIABLES, filled

Row = dict[str, Any]
MOST_LINES: Final = 12
"""Lines of a list that are printed at most; the JSON object has all (judged)."""
VERDICTS: Final = {
    "bad": "not used",
    "unconfirmed": "used, but unconfirmed",
    "suspect": "used, but doubtful",
    "note": "to know",
}


def weather_record(
    *,
    course: str,
    on: str,
    sources: Sequence[Mapping[str, Any]],
    winter: xr.Dataset,
    share: Mapping[str, float],
    until: np.datetime64,
    age_hours: float,
    found: pd.DataFrame,
    timezone: str,
) -> Row:
    """Everything `winterrisk weather` says, as plain values.

    Args:
        sources: one row a source: name, kind, provider, licence, step, first, last, received, assumed.
        winter (time): this winter so far, as `complete` gives it. share [1]: measured in the last 72 h.
        until: UTC end of the last known hour. found: rows of the checks. timezone: of the course.
    """
    gaps = filled(winter)
    return {
        "course": course,
        "on": on,
        "sources": [dict(source) for source in sources],
        "until_local": _local(until, timezone),
        "age_hours": rounded(age_hours),
        "share_72h": {name: rounded(value) for name, value in share.items()},
        "origins": {name: _origin_shares(winter, name) for name in REQUIRED},
        "filled": [
            {
                "what": row["what"],
                "from": _local(row["from"], timezone),
                "until": _local(row["until"], timezone),
                "hours": int(row["hours"]),
                "how": row["filled_how"],
            }
            for row in gaps.to_dict("records")
        ],
        "checks": [
            {name: _plain(row[name], timezone) for name in found.columns} for row in found.to_dict("records")
        ],
    }


def _origin_shares(winter: xr.Dataset, name: str) -> dict[str, float]:
    origin = winter[f"{name}_origin"].to_numpy()
    return {
        words: rounded(np.mean(origin == code)) for code, words in ORIGINS.items() if (origin == code).any()
    }


def _local(time: Any, timezone: str) -> str:
    return pd.Timestamp(time).tz_localize("UTC").tz_convert(timezone).strftime("%Y-%m-%d %H:%M")


def _plain(value: Any, timezone: str) -> Any:
    if isinstance(value, (pd.Timestamp, np.datetime64)):
        return None if pd.isna(value) else _local(value, timezone)
    if isinstance(value, float):
        return None if np.isnan(value) else rounded(value)
    return value.item() if isinstance(value, np.generic) else value


def weather_lines(record: Mapping[str, Any]) -> list[str]:
    """The record as lines for a terminal, the most important first."""
    lines = [
        f"{record['course']}, {record['on']}: weather known to {record['until_local']} (local), "
        f"{record['age_hours']:.0f} h old",
        "measured in the last 72 h: "
        + ", ".join(f"{_name(n)} {100 * s:.0f} %" for n, s in record["share_72h"].items()),
        "",
        "Sources",
    ]
    lines += [f"  {line}" for source in record["sources"] for line in _source_lines(source)]
    lines += ["", "This winter's hours, by where they come from"]
    lines += [
        f"  {_name(n)}: " + ", ".join(f"{words} {100 * s:.0f} %" for words, s in shares.items())
        for n, shares in record["origins"].items()
    ]
    lines += [
        "",
        "Filled" if (gaps := _gap_lines(record["filled"])) else "Filled: nothing that is measured at all",
    ]
    lines += [f"  {line}" for line in gaps]
    lines += ["", "Checks that fired" if record["checks"] else "Checks that fired: none"]
    return lines + [f"  {line}" for line in _check_lines(record["checks"])]


def _name(variable: str) -> str:
    return VARIABLES[variable].long_name if variable in VARIABLES else variable.replace("_", " ")


def _source_lines(source: Mapping[str, Any]) -> list[str]:
    received = "receipt times assumed: an hour after each value" if source["assumed"] else source["received"]
    who = f" ({source['provider']})" if source["provider"] else ""
    span = f"{source['first']} to {source['last']}"
    first = f"{source['name']}{who}: {source['kind']}, {source['step']}, {span}; {received}"
    return [first] + ([f"  {source['why']}"] if source.get("why") else [])


def _gap_lines(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Gaps of what the station measures; a variable that is worked out all along is no gap."""
    gaps = sorted(
        (r for r in rows if r["what"] in ("air_temperature", "precipitation")), key=lambda r: -r["hours"]
    )
    told = [
        f"{_name(r['what'])}: {r['hours']} h from {r['from']} to {r['until']} ({r['how']})"
        for r in gaps[:MOST_LINES]
    ]
    if len(gaps) > MOST_LINES:
        left = sum(r["hours"] for r in gaps[MOST_LINES:])
        told.append(f"and {len(gaps) - MOST_LINES} shorter gaps, {left} h together (--json has all)")
    return told


def _check_lines(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    order = list(VERDICTS)
    newest = sorted(rows, key=lambda r: str(r["time"]), reverse=True)
    newest.sort(key=lambda r: order.index(r["verdict"]))
    told = [
        f"{r['time'] or 'all along'}: {r['words']} [{VERDICTS[r['verdict']]}]" for r in newest[:MOST_LINES]
    ]
    if len(rows) > MOST_LINES:
        kinds = sorted({str(r["check"]) for r in newest[MOST_LINES:]})
        told.append(f"and {len(rows) - MOST_LINES} more ({joined(kinds[:5])}; --json has all)")
    return told
