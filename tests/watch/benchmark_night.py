"""The sample's night in a process of its own, as a schedule runs it: first with nothing compiled, then as every night.

    python tests/watch/benchmark_night.py

24 zones, 40 members x 200 draws, the winter replayed, ten days of forecast, spring from past winters. Prints seconds
on the clock and of all cores, the most memory, and the seconds of each step as they stand in nights/log.csv.
"""

import csv
import datetime as dt
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

from winterrisk.course import night_instant, read_course
from winterrisk.watch.steps import STEPS
from winterrisk.weather.forecast import forecast_dataset
from winterrisk.weather.write_forecast import write_forecast

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_weather" / "ostermoor"
NIGHT = dt.date(2025, 2, 25)
AHEAD = 240
HOUR = np.timedelta64(1, "h")


def course(folder: Path) -> Path:
    """A copy of the sample with a forecast of ten days: the invented weather that came, as an ensemble file told it."""
    left = shutil.ignore_patterns("nights", "reports", "weather", "book.sqlite*", "thresholds*")
    shutil.copytree(SAMPLE, folder, ignore=left)
    text = (folder / "course.toml").read_text(encoding="utf-8")
    named = text.replace('[forecast]\nsource = "none"', '[forecast]\nsource = "file"\nfile = "forecast.nc"')
    assert named != text
    (folder / "course.toml").write_text(named, encoding="utf-8")
    now = night_instant(NIGHT, read_course(folder).timezone).astype("datetime64[h]")
    rows = pd.read_csv(folder / "station.csv", comment="#", parse_dates=["time"], index_col="time")
    ahead = rows.apply(pd.to_numeric, errors="coerce").resample("h").asfreq().interpolate("time")
    ahead = ahead.loc[now : now + (AHEAD - 1) * HOUR]
    names = ("air_temperature", "dew_point", "wind_speed", "precipitation")
    forecast = forecast_dataset(
        ahead.index.to_numpy().astype("datetime64[h]"), {name: ahead[name].to_numpy() for name in names},
        source="Moor forecast (invented)", issued=now - 2 * HOUR, received=now - HOUR, licence="invented",
        credit="Invented forecast.",
    )  # fmt: skip
    write_forecast(folder, forecast)
    return folder


def night(folder: Path, cache: Path) -> str:
    """One run in a process of its own; what it took."""
    shutil.rmtree(folder / "nights", ignore_errors=True)
    command = [
        sys.executable,
        "-m",
        "winterrisk.cli",
        "nightly",
        str(folder),
        "--on",
        str(NIGHT),
        "--no-send",
    ]
    begins = time.perf_counter()
    process = subprocess.Popen(
        command,
        env={"PYTHONPATH": str(ROOT), "NUMBA_CACHE_DIR": str(cache), "PATH": os.defpath},
        cwd="/",
        stdout=subprocess.PIPE,
        text=True,
    )
    with process.stdout as said:  # type: ignore[union-attr]
        lines = said.read().splitlines()
    _, status, used = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - begins
    assert os.waitstatus_to_exitcode(status) == 0, lines
    with (folder / "nights" / "log.csv").open(encoding="utf-8") as file:
        (row,) = csv.DictReader(file)
    steps = ", ".join(f"{step} {row[f'{step}_seconds']}" for step in STEPS)
    compiling = "; says compiling, once" if "compiling, once" in lines else ""
    return (
        f"{seconds:.1f} s on the clock, {used.ru_utime + used.ru_stime:.1f} s of all cores, "
        f"{used.ru_maxrss / 1024:.0f} MB{compiling}; of the run {row['seconds']} s: {steps}"
    )


def main() -> None:
    """Prints the figures."""
    with tempfile.TemporaryDirectory() as place:
        folder, cache = course(Path(place) / "course"), Path(place) / "compiled"
        print(f"first ever: {night(folder, cache)}", flush=True)
        for _ in range(3):
            print(f"every night: {night(folder, cache)}", flush=True)


if __name__ == "__main__":
    main()
