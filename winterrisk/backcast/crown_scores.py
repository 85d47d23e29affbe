"""Crown temperatures that a probe saw against the possible winters, each worked as if the probe had said nothing."""

import datetime as dt
from typing import Final

import numpy as np
import pandas as pd

from winterrisk.book import events
from winterrisk.calibration.ensemble_scores import crps
from winterrisk.column.members import members
from winterrisk.column.run import run
from winterrisk.course import night_instant, winter_end, winter_of
from winterrisk.microclimate import zone_ground, zone_weather
from winterrisk.nightly import Work, possible_winters
from winterrisk.weather.gap_groups import USUAL

KIND: Final = "crown_temperature_seen"
COLUMNS: Final = ("winter", "zone", "time", "seen", "mean", "low", "high", "score")
HOUR: Final = np.timedelta64(1, "h")
RANGE: Final = (0.05, 0.95)


def crown_scores(work: Work, winters: list[str]) -> pd.DataFrame:
    """Rows (winter, zone, time UTC, seen, mean, low, high, score) in degC for every crown temperature in the book.

    mean, and low to high (90 %), of the members at that hour, those with gaps at their worst left out; score: the
    continuous ranked probability score, 0 best. Everything else people saw and did is in the replay, and the weather
    is as known today; what was seen after the end of the record is left out.
    """
    rows = []
    for winter in winters:
        seen = {zone: events(work.record, zone) for zone in work.zones}
        own = {zone: _of_winter(frame, winter, work.course.timezone) for zone, frame in seen.items()}
        probed = [zone for zone, frame in own.items() if len(frame)]
        if not probed:
            continue
        last = pd.Timestamp(work.weather.span[1]).date()
        on = min(winter_end(winter) - dt.timedelta(days=1), last)
        weather = possible_winters(work.weather, work.course, on, work.settings, known=False)
        several = members(weather.paths, work.settings.n_ground, (work.course.id, winter), work.thresholds)
        ground = zone_ground(work.course)
        for zone in probed:
            there = own[zone][own[zone]["time"] < pd.Timestamp(weather.until)]
            if there.empty:
                continue
            frame = seen[zone][seen[zone]["time"] < pd.Timestamp(night_instant(on, work.course.timezone))]
            hours = there["time"].to_numpy().astype("datetime64[h]")
            usual = np.flatnonzero(several.gap_group == USUAL)
            told = run(
                zone_weather(weather.paths, work.course, zone), ground.sel(zone=zone),
                events=frame[frame["kind"] != KIND], draws={**several.column, "path": several.path},
                output="hourly", until=hours.max() + HOUR,
            )  # fmt: skip
            crown = told["crown_temperature"].sel(time=hours.astype("datetime64[ns]")).to_numpy()[:, usual]
            values = there["value"].to_numpy(np.float64)
            low, high = np.quantile(crown, RANGE, axis=1)
            score = crps(crown, values, fair=True)
            for k, time in enumerate(there["time"]):
                rows.append((winter, zone, time, values[k], crown[k].mean(), low[k], high[k], score[k]))
    return pd.DataFrame(rows, columns=list(COLUMNS))


def _of_winter(frame: pd.DataFrame, winter: str, timezone: str) -> pd.DataFrame:
    probe = frame[frame["kind"] == KIND]
    local = probe["time"].dt.tz_localize("UTC").dt.tz_convert(timezone)
    return probe[[winter_of(t.date()) == winter for t in local]]
