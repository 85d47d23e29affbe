"""What the days ahead add to a night: the replay of what was measured, and forecast and spring branched from its end.

    python tests/column/benchmark_ahead.py [COURSE_FOLDER]

Forecasts are made of the weather that came (`backcast.days_ahead`), ten days by the paths after it. Prints one line a
night: seconds of the replay, seconds added, and their ratio; the smallest of three runs of each.
"""

import datetime as dt
import sys
import time
from pathlib import Path

import numpy as np

from winterrisk.backcast import days_ahead, read_work, whole_record
from winterrisk.column.members import members
from winterrisk.column.zones import zones_days
from winterrisk.course import night_instant, winter_of
from winterrisk.nightly import Settings, possible_winters, zone_events

SAMPLE = Path(__file__).parents[2] / "sample_weather" / "ostermoor"
NIGHTS = (dt.date(2024, 12, 15), dt.date(2025, 1, 15), dt.date(2025, 2, 25), dt.date(2025, 3, 10))


def main(folder: Path) -> None:
    """Prints the figures of four nights."""
    work = read_work(folder, Settings())
    end = np.datetime64(work.weather.span[1]).astype("datetime64[h]") + np.timedelta64(48, "h")
    ahead = days_ahead("errors", work.course, lambda: whole_record(work.weather, work.course.id, end))
    for on in NIGHTS:
        now = night_instant(on, work.course.timezone)
        weather = possible_winters(work.weather, work.course, on, work.settings, forecast=ahead(on))
        several = members(
            weather.paths, work.settings.n_ground, (work.course.id, winter_of(on)), work.thresholds
        )
        seen = zone_events(work, now)
        settled = min(weather.until, np.datetime64(now, "h"))
        took, more = [], []
        for _ in range(3):
            begin = time.perf_counter()
            days, states = zones_days(
                weather.paths, work.course, seen, several, zones=work.zones, until=settled
            )
            middle = time.perf_counter()
            later, _ = zones_days(weather.paths, work.course, seen, several, zones=work.zones, start=states)
            took.append(middle - begin)
            more.append(time.perf_counter() - middle)
        behind, before = days.sizes["day"], later.sizes["day"]
        print(
            f"{on}: replay {behind} days {min(took):.2f} s, ahead {before} days {min(more):.2f} s,", end=" "
        )
        print(f"adds {min(more) / min(took):.0%} ({len(several.path)} members, {len(work.zones)} zones)")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else SAMPLE)
