"""Scores of the winter column on field data: this model, the peer, the difference, one line a site and
quantity.

    field_scores.py [FILE.csv --site SITE.toml]...

Without arguments the files in the folder named by WINTERRISK_FIELD_DATA are scored with the sites beside
this script.
The last line sums up how many bars are met.
"""

import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from field_sites import (  # noqa: E402
    Site,
    daily_weather,
    hourly_weather,
    kind_of,
    read_site,
    read_table,
    with_measured_snowfall,
)

from winterrisk.column import at_depth, driven_ground, run, soil_layers  # noqa: E402
from winterrisk.column.layout import CENTRES  # noqa: E402

KNOWN = {
    "cdp_2005_2006_hourly.csv": ("col_de_porte",),
    "sodankyla_2017_2018_hourly.csv": ("sodankyla",),
    "uscrn_2020_daily_6stations.csv": ("chatham", "goodridge", "kenai", "necedah", "old_town", "sioux_falls"),
    "fargo_nd_soil_temperature_3winters_hourly.csv": ("fargo",),
    "great_lakes_airport_daily_1960_1990.csv": ("airport",),
}
PEER = {
    ("Col de Porte", "depth RMSE m"): 0.123,
    ("Col de Porte", "SWE RMSE mm"): 47.0,
    ("Col de Porte", "20 cm RMSE degC"): 1.67,
    ("Col de Porte", "surface RMSE degC"): 1.41,
    ("Sodankyla", "depth RMSE m"): 0.157,
    ("Chatham MI", "20 cm RMSE degC"): 0.85,
    ("Goodridge MN", "20 cm RMSE degC"): 3.15,
    ("Kenai AK", "20 cm RMSE degC"): 3.88,
    ("Necedah WI", "20 cm RMSE degC"): 1.42,
    ("Old Town ME", "20 cm RMSE degC"): 2.67,
    ("Sioux Falls SD", "20 cm RMSE degC"): 1.95,
    ("USCRN", "20 cm RMSE degC"): 2.32,
}
"""A general snow model (FSM) on the same data."""
BARS = {
    ("Col de Porte", "depth RMSE m"): (None, 0.100),
    ("Col de Porte", "SWE RMSE mm"): (None, 38.0),
    ("Col de Porte", "20 cm RMSE degC"): (None, 1.40),
    ("Col de Porte", "surface RMSE degC"): (None, 1.17),
    ("Col de Porte", "cover ends day of year"): (112, 122),
    ("Sodankyla", "depth RMSE m"): (None, 0.12),
    ("Sodankyla", "cover ends day of year"): (126, 136),
    ("USCRN", "20 cm RMSE degC"): (None, 1.2),
    ("USCRN", "stations within 1 degC bias"): (5, None),
    ("USCRN", "stations with frozen days inside"): (6, None),
    ("Fargo", "20 cm RMSE degC"): (None, 0.60),
    ("Fargo", "50 cm RMSE degC"): (None, 0.70),
    ("Fargo 2014-15", "deepest 0 degC cm off"): (-15, 15),
    ("Fargo 2015-16", "deepest 0 degC cm off"): (-10, 10),
    ("Fargo 2016-17", "deepest 0 degC cm off"): (-10, 10),
    ("Great Lakes airport", "days with 1 inch r"): (0.91, None),
    ("Great Lakes airport", "days with 1 inch bias"): (-4, 4),
    ("Great Lakes airport", "peak depth r"): (0.86, None),
}
"""What the column must reach: (least, most)."""
END_OF_COVER = 0.02
"""Depth below which the lasting cover has ended [m]."""
RAIN_PATHS = 4
"""Ways to put a daily record's rain at hours; the winters' counts and peaks are means over them, as the hours are not
known."""
FARGO_WATER = ((0.60, 0.25), (3.0, 0.48))
"""Water by volume down to each depth [m, 1] at Fargo, one profile for all winters: by autumn roots have
drawn the top
60 cm of the clay to about midway between wilting and field water; below their reach it stays near
saturation."""


@dataclass(frozen=True)
class Score:
    """One number of one site, with the peer's."""

    site: str
    quantity: str
    value: float
    beside: str = ""

    @property
    def met(self) -> bool | None:
        """Whether the bar is met; None without one."""
        if (self.site, self.quantity) not in BARS:
            return None
        least, most = BARS[self.site, self.quantity]
        return (least is None or self.value >= least) and (most is None or self.value <= most)

    def __str__(self) -> str:
        peer = PEER.get((self.site, self.quantity))
        against = "" if peer is None else f"  peer {peer:.3g}  difference {self.value - peer:+.3g}"
        bar = {None: "", True: "  bar met", False: "  BAR MISSED"}[self.met]
        return f"{self.site:20s} {self.quantity:34s} {self.value:9.3f}{against}{bar}  {self.beside}".rstrip()


def rmse(model: np.ndarray, seen: np.ndarray) -> float:
    """Root mean square difference where both are there."""
    gap = np.asarray(model, float) - np.asarray(seen, float)
    return float(np.sqrt(np.nanmean(gap**2)))


def bias(model: np.ndarray, seen: np.ndarray) -> float:
    """Mean difference where both are there."""
    return float(np.nanmean(np.asarray(model, float) - np.asarray(seen, float)))


def cover_end(depth: pd.Series) -> int:
    """Day of year on which the longest spell with snow ends."""
    lies = (depth > END_OF_COVER).to_numpy()
    edges = np.flatnonzero(np.diff(np.r_[0, lies.astype(int), 0]))
    begins, ends = edges[::2], edges[1::2]
    longest = int(np.argmax(ends - begins))
    return int(depth.index[min(ends[longest], len(depth) - 1)].day_of_year)


def _start(site: Site) -> tuple[list[float], list[float]] | None:
    return (site.start["depth"], site.start["temperature"]) if "depth" in site.start else None


def hourly_scores(table: pd.DataFrame, site: Site) -> Iterator[Score]:
    """Snow, surface and soil of a file with hourly radiation; daily observations against daily means."""
    weather = hourly_weather(table, site)
    model = run(weather, site.ground, soil_start=_start(site))
    day = pd.DatetimeIndex(weather["time"].values).floor("D")
    depth = model["snow_depth"].to_pandas()
    name = "obs_snow_depth_m" if "obs_snow_depth_m" in table else "obs_snow_depth_cm"
    seen = table[name].to_numpy(float) * (1.0 if name.endswith("_m") else 0.01)
    yield Score(site.name, "depth RMSE m", rmse(depth, seen), f"bias {bias(depth, seen):+.3f}")
    seen_end = cover_end(pd.Series(seen, depth.index).ffill())
    yield Score(site.name, "cover ends day of year", cover_end(depth), f"seen {seen_end}")

    def by_day(values: np.ndarray) -> np.ndarray:
        return pd.Series(np.asarray(values, float)).groupby(day).mean().to_numpy()

    if "obs_swe_mm_daily" in table:
        water, swe = model["snow_water"].values, table["obs_swe_mm_daily"].to_numpy(float)
        yield Score(site.name, "SWE RMSE mm", rmse(water, swe), f"bias {bias(water, swe):+.1f}")
    pairs = (
        ("20 cm RMSE degC", "obs_t_soil_20cm_c", at_depth(model, 0.20)),
        ("surface RMSE degC", "obs_t_surface_c", model["surface_temperature"].values),
    )
    for label, column, values in pairs:
        if f"{column}_daily" in table:
            mean, own = by_day(table[f"{column}_daily"].to_numpy(float)), by_day(values)
        elif column in table:
            mean, own = table[column].to_numpy(float), values
        else:
            continue
        yield Score(site.name, label, rmse(own, mean), f"bias {bias(own, mean):+.2f}")
    if "obs_albedo_daily" in table:
        albedo = np.where(depth > 0.05, model["snow_albedo"].values, np.nan)
        yield Score(
            site.name, "albedo RMSE", rmse(by_day(albedo), by_day(table["obs_albedo_daily"].to_numpy(float)))
        )


def daily_scores(table: pd.DataFrame, site: Site) -> Iterator[Score]:
    """Soil of one station with daily inputs, October to December, begun on 1 August."""
    table = table[pd.to_datetime(table["date"]).dt.month >= 8].reset_index(drop=True)
    weather = daily_weather(table, site)
    model = run(weather, site.ground)
    local = pd.DatetimeIndex(weather["time"].values) + pd.Timedelta(hours=site.utc_offset)
    dates = pd.to_datetime(table["date"])
    late = (dates.dt.month >= 10).to_numpy()

    def daily(values: np.ndarray) -> np.ndarray:
        means = pd.Series(np.asarray(values, float)).groupby(local.floor("D")).mean()
        return means.reindex(dates).to_numpy()

    smooth = table["t_avg_c"].rolling(15, min_periods=1).mean().to_numpy()
    for cm in (5, 20, 50):
        seen = table[f"soil_t_{cm}cm_c"].to_numpy(float)
        own = daily(at_depth(model, cm / 100.0))
        beside = f"bias {bias(own[late], seen[late]):+.2f}  smoothed air {rmse(smooth[late], seen[late]):.2f}"
        yield Score(site.name, f"{cm} cm RMSE degC", rmse(own[late], seen[late]), beside)
    five, own = table["soil_t_5cm_c"].to_numpy(float), daily(at_depth(model, 0.05))
    low, high = int((five[late] < -0.2).sum()) - 6, int((five[late] < 0.3).sum()) + 6
    frozen = int((own[late] < 0.0).sum())
    yield Score(site.name, "frozen days at 5 cm", frozen, f"seen {max(low, 0)}..{high}")


def driven_scores(table: pd.DataFrame, site: Site) -> Iterator[Score]:
    """The ground below 5 cm, each winter by itself, with one profile of water."""
    time = pd.to_datetime(table["time_cst"])
    winter = time.dt.year - (time.dt.month < 7)
    depths = np.array(
        [float(c[2:-4]) / 100.0 for c in table.columns if c.startswith("t_") and c.endswith("cm_c")]
    )
    columns = [c for c in table.columns if c.startswith("t_") and c.endswith("cm_c")]
    layers = soil_layers(site.soil)
    water = np.array([next(w for depth, w in FARGO_WATER if c <= depth) for c in CENTRES])
    totals: dict[int, list[float]] = {20: [], 50: []}
    for year, part in table.groupby(winter):
        name = f"{site.name} {year}-{(year + 1) % 100:02d}"
        seen = part[columns].interpolate(limit_direction="both").to_numpy()
        start = np.interp(CENTRES, depths, seen[0])
        upper = seen[:, list(depths).index(0.05)]
        own = driven_ground(upper, start, layers, water)
        plain = driven_ground(upper, start, layers, water, freezes=False)
        for cm in (20, 50):
            at = list(depths).index(cm / 100.0)
            model = np.array([np.interp(cm / 100.0, CENTRES, row) for row in own])
            rival = np.array([np.interp(cm / 100.0, CENTRES, row) for row in plain])
            totals[cm].append(rmse(model, seen[:, at]))
            yield Score(
                name, f"{cm} cm RMSE degC", totals[cm][-1], f"without freezing {rmse(rival, seen[:, at]):.2f}"
            )
        own[:, : list(CENTRES).index(0.05) + 1] = upper[:, None]
        day = np.arange(len(part)) // 24
        deep = max(_front(pd.DataFrame(own).groupby(day).mean().to_numpy(), CENTRES))
        deep_seen = max(_front(pd.DataFrame(seen).groupby(day).mean().to_numpy(), depths))
        yield Score(
            name, "deepest 0 degC cm off", 100.0 * (deep - deep_seen), f"seen {100 * deep_seen:.0f} cm"
        )
    for cm, values in totals.items():
        yield Score(site.name, f"{cm} cm RMSE degC", float(np.mean(values)), "mean over winters")


def _front(profiles: np.ndarray, depths: np.ndarray) -> list[float]:
    """Depth of the deepest 0 degC line of each profile [m]."""
    found = []
    for row in profiles:
        cold = np.flatnonzero((row[:-1] < 0.0) & (row[1:] >= 0.0))
        if not len(cold):
            found.append(0.0)
            continue
        k = cold[-1]
        found.append(float(depths[k] + (depths[k + 1] - depths[k]) * -row[k] / (row[k + 1] - row[k])))
    return found


def airport_scores(table: pd.DataFrame, site: Site) -> Iterator[Score]:
    """Snow on the ground at 7 in the morning over all winters, in whole inches where days are counted, from the
    highest and lowest temperature and precipitation; and what the same column makes of the measured snowfall."""
    dates = pd.to_datetime(table["date"])

    def inches(weather: xr.Dataset) -> np.ndarray:
        depth = run(weather, site.ground)["snow_depth"].values
        local = pd.DatetimeIndex(weather["time"].values) + pd.Timedelta(hours=site.utc_offset)
        morning = local.hour == 7
        return pd.Series(depth[morning] / 0.0254, local[morning].floor("D")).reindex(dates).to_numpy()

    weathers = [daily_weather(table, site, path) for path in range(RAIN_PATHS)]
    paths = [inches(weather) for weather in weathers]
    shore = replace(site, near_water=True)
    off_the_lake = [inches(daily_weather(table, shore, path)) for path in range(RAIN_PATHS)]
    seen = table["snow_depth_in"].to_numpy(float)
    rival = _degree_day_depth(table)
    winter = (dates.dt.year - (dates.dt.month < 7)).to_numpy()
    given = inches(with_measured_snowfall(weathers[0], table, site)) if "snowfall_in" in table else None
    for label, of, shape in (
        ("days with 1 inch", lambda x: (np.round(x) >= 1.0).astype(float), "sum"),
        ("peak depth", lambda x: x, "max"),
    ):

        def by_winter(inch: np.ndarray, of: Any = of, shape: str = shape) -> np.ndarray:
            return pd.Series(of(inch)).groupby(winter).agg(shape).to_numpy()

        own, true, line = np.mean([by_winter(x) for x in paths], axis=0), by_winter(seen), by_winter(rival)
        r, plain = np.corrcoef(own, true)[0, 1], np.corrcoef(line, true)[0, 1]
        yield Score(site.name, f"{label} r", r, f"degree-day line {plain:.3f}")
        off = f"seen {true.mean():.1f}  degree-day line {line.mean() - true.mean():+.1f}"
        yield Score(site.name, f"{label} bias", own.mean() - true.mean(), off)
        told = np.mean([by_winter(x) for x in off_the_lake], axis=0)
        off = f"bias {told.mean() - true.mean():+.1f}"
        yield Score(site.name, f"{label} r, air off the lake", np.corrcoef(told, true)[0, 1], off)
        if given is not None:
            best = by_winter(given)
            off = f"bias {best.mean() - true.mean():+.1f}"
            yield Score(site.name, f"{label} r, snowfall given", np.corrcoef(best, true)[0, 1], off)


def _degree_day_depth(table: pd.DataFrame) -> np.ndarray:
    """Snow depth [in] of the plainest line: snow below 0.5 degC of daily mean, 3.5 mm a degree and day,
    200 kg m-3."""
    mean = ((table["tmax_f"] + table["tmin_f"]) / 2 - 32.0) / 1.8
    water, depth = 0.0, []
    for t, p in zip(mean, table["precip_in"].fillna(0.0) * 25.4, strict=True):
        depth.append(water / 200.0 / 0.0254)
        water = max(0.0, water + (p if t < 0.5 else 0.0) - 3.5 * max(0.0, t))
    return np.array(depth)


SCORERS: dict[str, Callable[[pd.DataFrame, Site], Iterator[Score]]] = {
    "hourly": hourly_scores,
    "daily": daily_scores,
    "driven": driven_scores,
    "airport": airport_scores,
}


def scores(table: pd.DataFrame, sites: list[Site]) -> list[Score]:
    """All scores of one file; a file of several stations needs a site for each, in order of its station
    names."""
    kind = kind_of(table)
    if "station" not in table or (len(sites) == 1 and table["station"].nunique() == 1):
        return list(SCORERS[kind](table, sites[0]))
    names = sorted(table["station"].unique())
    found: list[Score] = []
    own: list[float] = []
    near = inside = 0
    for name, site in zip(names, sites, strict=True):
        part = list(SCORERS[kind](table[table["station"] == name].reset_index(drop=True), site))
        found += part
        twenty = next(s for s in part if s.quantity == "20 cm RMSE degC")
        judged = next(s for s in part if s.quantity == "5 cm RMSE degC") if name == "Old Town" else twenty
        own.append(twenty.value)
        near += abs(float(judged.beside.split()[1])) <= 1.0
        days = next(s for s in part if s.quantity == "frozen days at 5 cm")
        low, high = (int(x) for x in days.beside.split()[1].split(".."))
        inside += low <= days.value <= high
    found.append(Score("USCRN", "20 cm RMSE degC", float(np.mean(own)), "mean over stations"))
    found.append(Score("USCRN", "stations within 1 degC bias", near))
    found.append(Score("USCRN", "stations with frozen days inside", inside))
    return found


def main(arguments: list[str]) -> int:
    """Prints every score and one summary line; 0 when every bar is met."""
    jobs: list[tuple[Path, list[Site]]] = []
    if arguments:
        files = [
            a for i, a in enumerate(arguments) if a != "--site" and (i == 0 or arguments[i - 1] != "--site")
        ]
        sites = [a for i, a in enumerate(arguments) if i and arguments[i - 1] == "--site"]
        if len(files) != len(sites):
            print("each FILE.csv needs its --site SITE.toml", file=sys.stderr)
            return 2
        jobs = [(Path(f), [read_site(Path(s))]) for f, s in zip(files, sites, strict=True)]
    else:
        folder = os.environ.get("WINTERRISK_FIELD_DATA")
        if not folder:
            print("WINTERRISK_FIELD_DATA is not set and no file was given", file=sys.stderr)
            return 2
        for name, ids in KNOWN.items():
            jobs.append((Path(folder) / name, [read_site(HERE / "data" / f"site_{i}.toml") for i in ids]))
    found: list[Score] = []
    for path, sites_of in jobs:
        for score in scores(read_table(path), sites_of):
            print(score)
            found.append(score)
    judged = [s for s in found if s.met is not None]
    met = sum(bool(s.met) for s in judged)
    print(f"{len(found)} scores on {len(jobs)} files, {met} of {len(judged)} bars met")
    return 0 if all(s.met for s in judged) else 1


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
