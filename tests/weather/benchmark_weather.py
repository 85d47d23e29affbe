"""How fast thirty years of hours are read, kept and checked: `python tests/weather/benchmark_weather.py`; no test."""

import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent))

from tests_weather_files import Place, invented_hours, write_station

from winterrisk.weather import complete, read_station
from winterrisk.weather.archive import open_archive
from winterrisk.weather.course_weather import CourseWeather, prepared


def main() -> None:
    """Prints one line a step."""
    place = Place()
    with tempfile.TemporaryDirectory() as folder:
        path = write_station(Path(folder), invented_hours("1990-07-01", "2020-06-30T23:00"))
        begin = time.perf_counter()
        raw = read_station(path, timezone=place.timezone)
        told("read from CSV", begin)
        begin = time.perf_counter()
        weather = CourseWeather.of(raw, place)
        ready = prepared(weather, np.datetime64("2020-06-30T10:00"))
        told(f"as known, checked, gauge and sun ({len(ready.found)} rows found)", begin)
        begin = time.perf_counter()
        with open_archive(Path(folder)) as archive:
            archive.receive("file", raw, np.datetime64("2020-07-01T10:00:00"), first_assumed=True)
            told("taken into the archive", begin)
            begin = time.perf_counter()
            archive.received("file")
            told("read from the archive", begin)
        begin = time.perf_counter()
        complete(ready.raw, place, "invented")
        told("made whole", begin)


def told(what: str, begin: float) -> None:
    print(f"{what}: {time.perf_counter() - begin:.1f} s")


if __name__ == "__main__":
    main()
