"""What was understood, said back in a line."""

from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from winterrisk.book.kinds import KINDS
from winterrisk.book.places import label
from winterrisk.thresholds import LABELS


def local_text(time: Any, timezone: str) -> str:
    """A UTC time as the course's clock shows it: "2025-01-14 09:00"."""
    stamp = pd.Timestamp(time).tz_localize("UTC").tz_convert(ZoneInfo(timezone))
    return stamp.strftime("%Y-%m-%d %H:%M")


def _by(row: Mapping[str, Any]) -> str:
    return f" by {row['who']}" if row.get("who") else ""


def _percent(share: float) -> str:
    return f"{100 * share:g} %"


def _place(row: Mapping[str, Any]) -> str:
    return label(str(row.get("area", "")), str(row.get("zone", "")))


def observation_words(row: Mapping[str, Any], timezone: str) -> str:
    """ "4 low, ice 20 mm clear, 2025-01-14 09:00 by Ann"."""
    kind, value = KINDS[row["kind"]], row.get("value")
    said = kind.words
    if kind.name == "ice_from":
        since = local_text(row["time"], timezone)[:10]
        doubt = "" if value is None else f", give or take {value:g} d"
        said = f"ice since {since}{doubt}"
    elif value is not None and not np.isnan(value):
        said += f" {value:.3g} {kind.unit.replace('percent', '%').replace('degC', 'C')}"
    if row.get("detail"):
        said += f", CO2 {row['detail']} %" if kind.name == "gas_seen" else f" {row['detail']}"
    share = row.get("share", 1.0)
    if share is not None and share < 1:
        said += f" on {_percent(share)} of it"
    when = "" if kind.name == "ice_from" else f", {local_text(row['time'], timezone)}"
    return f"{_place(row)}, {said}{when}{_by(row)}"


def plug_words(row: Mapping[str, Any], timezone: str) -> str:
    """ "P3, 4 low A2, 50 mm deep, cut 2025-01-14 09:00, batch 2025-01-14"."""
    parts = [f"{row['id']}, {_place(row)} {row.get('spot') or ''}".strip()]
    if row.get("control"):
        parts.append("control")
    if row.get("depth_mm") is not None:
        parts.append(f"{row['depth_mm']:g} mm deep")
    if row.get("crowns") in ("yes", "no"):
        parts.append("crowns attached" if row["crowns"] == "yes" else "cut above the crowns")
    if row.get("ice_mm") is not None:
        parts.append(f"{row['ice_mm']:g} mm of ice above" if row["ice_mm"] else "no ice above")
    parts.append(f"cut {local_text(row['cut'], timezone)}{_by(row)}")
    if row.get("batch"):
        parts.append(f"batch {row['batch']}")
    return ", ".join(parts)


def look_words(row: Mapping[str, Any], timezone: str) -> str:
    """ "P3, new growth 60 % of annual bluegrass, 2025-01-19 12:00"."""
    parts = [str(row["plug"])]
    grass = "" if row["species"] == "all" else f" of {LABELS[row['species']]}"
    if row.get("new_growth") is not None:
        parts.append(f"new growth {_percent(row['new_growth'])}{grass}")
    elif grass:
        parts.append(LABELS[row["species"]])
    if row.get("colour"):
        parts.append(str(row["colour"]))
    if row.get("smell"):
        parts.append(f"smell {row['smell']}")
    return f"{', '.join(parts)}, {local_text(row['time'], timezone)}{_by(row)}"


def survey_words(row: Mapping[str, Any]) -> str:
    """ "4 low, 30-50 % dead, ice, 2025-04-20"."""
    low, high = row["dead_low"], row["dead_high"]
    share = _percent(low) if low == high else f"{100 * low:g}-{100 * high:g} %"
    grass = "" if row["species"] == "all" else f" of the {LABELS[row['species']]}"
    cause = str(row["cause"]).replace("_", " ")
    return f"{_place(row)}, {share}{grass} dead, cause {cause}, {str(row['date'])[:10]}{_by(row)}"
