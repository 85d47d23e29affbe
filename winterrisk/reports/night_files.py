"""The files of a night, as text by name."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from winterrisk.reports.night_beside import Beside
from winterrisk.reports.night_page import night_page
from winterrisk.reports.night_record import rounded
from winterrisk.reports.write_night import as_json
from winterrisk.weather.events_ahead import events_ahead
from winterrisk.weather.night import NightWeather


def data_record(
    weather: NightWeather, until_day: date, zones: Sequence[Mapping[str, Any]], timezone: str
) -> dict[str, Any]:
    """How good the data of a night are, and the state of every zone; the clock of the course is `timezone`."""
    stamp = pd.Timestamp(weather.until).tz_localize("UTC").tz_convert(timezone)
    return {
        "weather_until": str(weather.until.astype("datetime64[m]")),
        "weather_until_local": stamp.strftime("%Y-%m-%dT%H:%M"),
        "age_hours": rounded(weather.age_hours),
        "share_72h": {name: rounded(share) for name, share in weather.share.items()},
        "filled_hours": int(weather.filled_hours),
        "until_day": until_day.isoformat(),
        "ahead": weather.ahead,
        "forecast": None if weather.forecast is None else dict(weather.forecast),
        "events": event_records(weather, timezone) if weather.forecast is not None else [],
        "zones": [dict(z) for z in zones],
    }


def event_records(weather: NightWeather, timezone: str) -> list[dict[str, Any]]:
    """The next thaw, rain on snow, hard freeze and spell to melt and drain, as plain values."""
    now = weather.until + np.timedelta64(round(weather.age_hours), "h")
    rows = []
    for event in events_ahead(weather.paths, now, timezone=timezone):
        row = asdict(event)
        row |= {n: None if row[n] is None else str(row[n])[:10] for n in ("first", "last", "day")}
        row |= {n: rounded(row[n]) for n in ("chance", "by_day")}
        rows.append(row)
    return rows


def night_files(night: Mapping[str, Any], alert: str, beside: Beside) -> dict[str, str]:
    """night.json, alert.txt and page.html of a night."""
    return {
        "night.json": as_json(night),
        "alert.txt": alert,
        "page.html": night_page(night, beside),
    }
