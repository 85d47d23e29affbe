"""Makes the invented course Ostermoor: run `python make_sample.py [FOLDER]`, the same bytes every time.

Nothing in it is real. It stands alone: numpy and pandas only, nothing of the program that reads it.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd
from sample_parts import texts
from sample_parts.observations import TREATMENTS, observations
from sample_parts.plugs import plug_tables
from sample_parts.surveys import decisions, surveys
from sample_parts.truth import truth
from sample_parts.weather import STANDARD_TIME, true_weather

SEED = 20260228
GAP_FOUR_DAYS = (pd.Timestamp("2021-02-11T00:00"), pd.Timestamp("2021-02-14T23:00"))
GAP_SIX_HOURS = (pd.Timestamp("2024-01-28T03:00"), pd.Timestamp("2024-01-28T08:00"))
STUCK_SENSOR = (pd.Timestamp("2024-02-15T18:00"), pd.Timestamp("2024-02-22T17:00"))
SNOW_STAKE = "4 open"


def generator(purpose: int) -> np.random.Generator:
    """A random generator of its own for each purpose, so that one part can change without the others."""
    return np.random.default_rng([SEED, purpose])


def snow_depth(days: pd.DataFrame, hours: pd.DatetimeIndex) -> np.ndarray:
    """Snow depth [m] each hour at the station, in whole centimetres between the bookkeeping's days."""
    stake = days[days["zone"] == SNOW_STAKE]
    ends = pd.DatetimeIndex(stake["day"] - STANDARD_TIME + pd.Timedelta(days=1))
    at, ends = (times.to_numpy().astype("datetime64[h]").astype(float) for times in (hours, ends))
    return np.interp(at, ends, stake["depth"].to_numpy()).round(2)


def with_faults(record: pd.DataFrame) -> pd.DataFrame:
    """The record as the station wrote it: hours lost, and a week in which the thermometer was stuck."""
    out = record.copy()
    week, value = slice(*STUCK_SENSOR), out.loc[STUCK_SENSOR[0], "air_temperature"]
    out.loc[week, "air_temperature"] = value
    out.loc[week, "dew_point"] = out.loc[week, "dew_point"].clip(upper=value - 0.1)
    lost = pd.Series(False, index=out.index)
    for first, last in (GAP_FOUR_DAYS, GAP_SIX_HOURS):
        lost[first:last] = True
    return out[~lost]


def station_csv(record: pd.DataFrame) -> str:
    """The station file as text, each column with the digits a logger writes."""
    digits = {"shortwave_down": "%.0f", "snow_depth": "%.2f"}
    out = pd.DataFrame({"time": record.index.strftime("%Y-%m-%dT%H:%M")})
    for name in record:
        out[name] = [digits.get(name, "%.1f") % (value + 0.0) for value in record[name]]
    return texts.STATION_HEAD + out.to_csv(index=False, lineterminator="\n")


def table_csv(table: pd.DataFrame) -> str:
    """A table of the book as text: a remark, then times in ISO form and nothing where nothing was written."""
    out = table.copy()
    for name in out:
        if pd.api.types.is_datetime64_any_dtype(out[name]):
            out[name] = out[name].dt.strftime("%Y-%m-%dT%H:%M")
        elif pd.api.types.is_bool_dtype(out[name]):
            out[name] = np.where(out[name], "true", "false")
    return texts.BOOK_HEAD + out.to_csv(index=False, lineterminator="\n", float_format="%.10g")


def make() -> tuple[dict[str, str], pd.DataFrame]:
    """Every file of the folder by its path, and the hidden truth behind them."""
    weather = true_weather(generator(1))
    days = truth(weather, TREATMENTS, seed=SEED)
    record = weather.assign(snow_depth=snow_depth(days, weather.index))
    tables = {
        "observations": observations(days, generator(2)),
        **plug_tables(days, generator(3)),
        "surveys": surveys(days, generator(4)),
        "decisions": decisions(),
    }
    files = {
        "course.toml": texts.course_toml(),
        "README.md": texts.README,
        "station.csv": station_csv(with_faults(record)),
        **{f"book/{name}.csv": table_csv(table) for name, table in tables.items()},
    }
    return files, days


def main(folder: Path) -> None:
    """Write every file of the sample into `folder`."""
    files, _ = make()
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode())


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
