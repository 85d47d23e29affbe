"""The night as a plain record: what `--json` prints, night.json keeps, and every report reads."""

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict
from typing import Any

import numpy as np
import xarray as xr

from winterrisk.reports.notices import with_judged
from winterrisk.sampling import Call, Plan
from winterrisk.sampling.flip_flop import turned
from winterrisk.science.weighted import weighted_median

DIGITS = 4


def rounded(value: float) -> float:
    """The value to four digits after the point, never minus zero."""
    return round(float(value), DIGITS) + 0.0


def call_record(call: Call) -> dict[str, Any]:
    """A call as plain values: dates as ISO text, chances rounded."""
    row = asdict(call)
    row |= {name: row[name].isoformat() for name in ("by", "until")}
    row |= {name: rounded(row[name]) for name in ("chance", "low", "high")}
    row["spots"] = list(row["spots"])
    row["since"] = None if call.since is None else call.since.isoformat()
    held = row.pop("held_because")
    return row | ({"held_because": held} if held else {})


def zone_records(
    outlook: xr.Dataset, areas: Mapping[str, str], tonight: np.datetime64, until: np.datetime64
) -> list[dict[str, Any]]:
    """State and chances of each zone: medians over the members tonight, chances tonight and by `until`."""
    rows = []
    for zone in (str(z) for z in outlook["zone"].to_numpy()):
        there = outlook.sel(zone=zone)
        weight = there["weight"].sum("draw").to_numpy()
        now, later = there.sel(day=tonight), there.sel(day=until)
        ice = now["ice_thickness_max"].to_numpy()
        cause = now["share_by_hazard"]
        known = there["evidence_until"].to_numpy()
        rows.append(
            {
                "zone": zone,
                "area": areas[zone],
                "ice_mm": rounded(weighted_median(ice, weight)),
                "ice_chance": rounded(weight[ice >= 3.0].sum() / weight.sum()),
                "days_under_ice": rounded(weighted_median(now["days_under_ice"].to_numpy(), weight)),
                "snow_m": rounded(weighted_median(now["snow_depth_mean"].to_numpy(), weight)),
                "crown_min": rounded(weighted_median(now["crown_temperature_min"].to_numpy(), weight)),
                "crown_water": rounded(weighted_median(now["crown_water"].to_numpy(), weight)),
                "chance_now": _bands(now, "chance"),
                "now_low": rounded(now["chance_low"].sel(band="parts")),
                "now_high": rounded(now["chance_high"].sel(band="parts")),
                "chance": rounded(later["chance"].sel(band="parts")),
                "low": rounded(later["chance_low"].sel(band="parts")),
                "high": rounded(later["chance_high"].sel(band="parts")),
                "chance_later": _bands(later, "chance"),
                "chance_later_high": _bands(later, "chance_high"),
                "dead_now": rounded(now["dead_share"]),
                "dead_now_high": rounded(now["dead_high"]),
                "dead_share": rounded(later["dead_share"]),
                "dead_low": rounded(later["dead_low"]),
                "dead_high": rounded(later["dead_high"]),
                "causes": {
                    str(h): rounded(v)
                    for h, v in zip(cause["hazard"].to_numpy(), cause.to_numpy(), strict=True)
                },
                "treated": bool(now["treated"] > 0),
                "evidence_until": None if np.isnat(known) else str(known.astype("datetime64[D]")),
            }
        )
    return rows


def _bands(there: xr.Dataset, name: str) -> dict[str, float]:
    return {str(b): rounded(v) for b, v in zip(there["band"].to_numpy(), there[name].to_numpy(), strict=True)}


def changes(record: Mapping[str, Any], before: Mapping[str, Any] | None) -> list[str]:
    """What is called now and was not on the night before, and the other way round, in words."""
    if before is None:
        return []
    words = {"look": "look", "pull": "pull plugs", "act": "act"}

    def called(night: Mapping[str, Any]) -> dict[tuple[str, str], Mapping[str, Any]]:
        return {(c["zone"], c["kind"]): c for c in night["calls"]}

    now, then = called(record), called(before)
    unanswered = {(t["zone"], t["was"]) for t in record["data"].get("turned", ())}
    new = [f"new: {words[kind]} at {zone}" for zone, kind in now if (zone, kind) not in then]
    gone = [
        f"no longer{', though nobody answered' if (zone, kind) in unanswered else ''}: {words[kind]} at {zone}"
        for zone, kind in then
        if (zone, kind) not in now
    ]
    return new + gone


def night_record(
    *,
    course: str,
    on: dt.date,
    winter: str,
    version: str,
    hindsight: bool,
    plan: Plan,
    cannot_say: Sequence[Mapping[str, str]],
    verdicts_due: Sequence[Mapping[str, Any]],
    data: Mapping[str, Any],
    notices: Sequence[Mapping[str, str]] = (),
    before: Mapping[str, Any] | None,
    answered: Collection[str] = (),
) -> dict[str, Any]:
    """The whole night in the order of the published schema (docs/night_schema.json)."""
    record: dict[str, Any] = {
        "course": course,
        "on": on.isoformat(),
        "winter": winter,
        "version": version,
        "hindsight": hindsight,
        "calls": [call_record(c) for c in plan.calls],
        "held_back": [call_record(c) for c in plan.held_back],
        "looks_wanted": [call_record(c) for c in plan.looks_wanted],
        "cannot_say": [dict(r) for r in cannot_say],
        "verdicts_due": [dict(r) for r in verdicts_due],
        "data": dict(data),
    }
    record["data"]["turned"] = turned(
        before["calls"] if before else (), record["calls"], record["held_back"], answered
    )
    record["data"]["restraint"] = plan.restraint.to_record() | {"price": plan.price}
    record["data"]["notices"] = with_judged([dict(n) for n in notices], record["calls"])
    return record | {"changed_since": changes(record, before)}
