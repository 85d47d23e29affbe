"""How often the nights of a past winter would have called, each on what was known then."""

import datetime as dt
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from winterrisk.backcast.forecasts import Ahead
from winterrisk.backcast.nights import backcast_nights, nights_of
from winterrisk.backcast.on_record import OnRecord
from winterrisk.nightly import Work
from winterrisk.sampling.flip_flop import flip_flop_index


def nights_on_record(winter: OnRecord, every: int) -> list[dt.date]:
    """Nights of a winter, every so many days, of those on whose eve something was measured already and still."""
    last = winter.last + dt.timedelta(days=1)
    return [on for on in nights_of(winter.winter, every) if winter.first < on <= last]


def winter_calls(folder: Path, work: Work, winter: OnRecord, every: int, ahead: Ahead) -> dict[str, Any]:
    """What the nights of a winter would have called: `counted`, nights every so many days."""
    nights = backcast_nights(folder, work, nights_on_record(winter, every), ahead=ahead)
    return counted(night.record for night in nights)


def counted(nights: Iterable[Mapping[str, Any]]) -> dict[str, Any]:
    """Calls of nights in order: nights, messages (nights with a call that the last one with calls had not),
    looks, pulls, unsaid_nights, forecast_nights (with a forecast), turned (nights that took a call back though
    nobody answered), flip_flop [1] (index of the worst zone's chance), and the highest chance of more than a quarter
    of a zone dead that one told (said, said_on, said_zone).

    Args:
        nights: their records, as `--json` gives them.
    """
    told: dict[str, Any] = {"nights": 0, "messages": 0, "looks": 0, "pulls": 0, "unsaid_nights": 0}
    told |= {"forecast_nights": 0, "turned": 0}
    chances: list[float] = []
    told |= {"said": 0.0, "said_on": "", "said_zone": ""}
    before: list[tuple[str, str]] = []
    for night in nights:
        calls = sorted((c["kind"], c["zone"]) for c in night["calls"])
        told["nights"] += 1
        told["messages"] += bool(set(calls) - set(before))
        told["looks"] += sum(kind == "look" for kind, _ in calls)
        told["pulls"] += sum(kind == "pull" for kind, _ in calls)
        told["unsaid_nights"] += bool(night["cannot_say"])
        told["forecast_nights"] += bool(night["data"]["forecast"])
        told["turned"] += bool(night["data"]["turned"])
        before = calls or before
        zone = max(night["data"]["zones"], key=lambda z: z["chance"])
        chances.append(zone["chance"])
        if zone["chance"] > told["said"]:
            told |= {"said": zone["chance"], "said_on": night["on"], "said_zone": zone["zone"]}
    return told | {"flip_flop": flip_flop_index(chances)}
