"""Outlooks to spring on past winters: what a night said of 1 April, and what the winter's own weather then made of it.

The event: more than a quarter of a zone dead by 1 April. No record of dead turf stands behind the weather records, so
the truth of a winter is the package's own replay with the weather that came, which gives a chance and not a yes or no;
scores are the mean over that chance. What is judged is the way ahead (past winters as continuations), not the hazards.
"""

import datetime as dt
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk import hazards, risk
from winterrisk.backcast import read_work, whole_record
from winterrisk.column.members import members
from winterrisk.column.zones import zones_days
from winterrisk.course import day_start, night_instant, replay_start, winter_start
from winterrisk.nightly import Settings, Work
from winterrisk.weather.possible import possible

SPRING = (4, 1)
NIGHTS = ((12, 15), (1, 15), (2, 15))
SETTINGS = Settings()
"""Those of a night: 5 grounds, 8 paths, 200 draws."""
LEAST_PAST = 5
"""Past winters without which neither an outlook nor a climatological chance is scored."""
HOUR = np.timedelta64(1, "h")


def night_of(winter: str, month: int, day: int) -> dt.date:
    """A date within a winter."""
    year = winter_start(winter).year
    return dt.date(year + (month < 7), month, day)


def chance_by_spring(
    work: Work, weather: xr.Dataset, winter: str, now: np.datetime64
) -> tuple[dict[str, float], str]:
    """Chance of more than a quarter dead by 1 April for each zone, on what was known at `now`; how it goes on.

    weather (time): the record made whole as it was known at `now`: what later days tell of the hours before them is not
    in it.
    """
    course, key = work.course, (work.course.id, winter)
    begins = np.datetime64(day_start(replay_start(winter), course.timezone), "h")
    spring = night_of(winter, *SPRING)
    until = np.datetime64(day_start(spring + dt.timedelta(days=1), course.timezone), "h")
    times = weather["time"].to_numpy()
    known = weather.isel(time=np.flatnonzero(times < min(now, until)))
    measured = known.isel(time=np.flatnonzero(known["time"].to_numpy() >= begins))
    paths = possible(
        measured, None, known, members=work.settings.n_paths, key=key, until=until, now=min(now, until)
    )
    several = members(paths, work.settings.n_ground, key, work.thresholds)
    days, _ = zones_days(paths, course, {}, several, zones=work.zones)
    harm = hazards.run(days, course.turf().sel(zone=list(work.zones)), several.traits)
    last = days["day"].to_numpy()[-1].astype("datetime64[D]")
    told = risk.outlook(
        harm, days, course, work.chance_draws(winter), _even(several.weight, harm, work), days=[last]
    )
    chance = told["chance"].sel(band="parts").isel(day=-1)
    assert last == np.datetime64(spring), (winter, last)
    return {z: float(chance.sel(zone=z)) for z in work.zones}, str(paths.attrs["continuation"])


def _even(base: NDArray[np.float64], harm: xr.Dataset, work: Work) -> xr.DataArray:
    """Weights (zone, member, draw) of a night without a book."""
    share = base[None, :, None] / work.settings.n_draws
    whole = np.broadcast_to(share, (len(work.zones), len(base), work.settings.n_draws))
    return xr.DataArray(np.array(whole), dims=("zone", "member", "draw"), coords={"zone": list(work.zones)})


def outlooks(folder: Path, winters: list[str], nights=NIGHTS, settings: Settings = SETTINGS) -> pd.DataFrame:
    """Rows (winter, night, zone): said, the chance told that night, and came, the chance with the weather that came.

    The first five winters have only the latter: they are the past of the others.
    """
    work = replace(read_work(folder), settings=settings)
    end = np.datetime64(work.weather.span[1]).astype("datetime64[h]") + 48 * HOUR
    weather = whole_record(work.weather, work.course.id, end)
    rows = []
    for number, winter in enumerate(winters):
        came, _ = chance_by_spring(work, weather, winter, end)
        if number < LEAST_PAST:
            rows += [
                {"winter": winter, "night": "", "zone": z, "said": np.nan, "came": came[z]}
                for z in work.zones
            ]
            continue
        for month, day in nights:
            on = night_of(winter, month, day)
            now = np.datetime64(night_instant(on, work.course.timezone), "h")
            known = whole_record(work.weather, work.course.id, now)
            said, _ = chance_by_spring(work, known, winter, now)
            rows += [
                {"winter": winter, "night": f"{month}-{day}", "zone": z, "said": said[z], "came": came[z]}
                for z in work.zones
            ]
    return pd.DataFrame(rows)


@dataclass(frozen=True)
class Skill:
    """Brier skill [1] against the climatological chance, its 90 % interval, and the scores themselves."""

    skill: float
    low: float
    high: float
    brier: float
    climatology: float
    cases: int


def with_climatology(table: pd.DataFrame) -> pd.DataFrame:
    """The rows of winters with five or more before them, with `usual`: mean chance of the winters before, by zone."""
    by = (
        table.drop_duplicates(["winter", "zone"])
        .pivot(index="winter", columns="zone", values="came")
        .sort_index()
    )
    usual = by.expanding().mean().shift(1)
    count = pd.Series(np.arange(len(by)), index=by.index)
    rows = table[table["winter"].map(count) >= LEAST_PAST].copy()
    rows["usual"] = [usual.loc[w, z] for w, z in zip(rows["winter"], rows["zone"], strict=True)]
    return rows


def brier(said: NDArray[np.float64], came: NDArray[np.float64]) -> NDArray[np.float64]:
    """Expected Brier score of each case where the outcome is a yes with the chance `came`."""
    return (said - came) ** 2 + came * (1.0 - came)


def skill_of(rows: pd.DataFrame, *, repeats: int = 2000) -> Skill:
    """Skill over all cases; the interval from whole winters drawn anew (all nights and zones of one stay together)."""
    own = brier(rows["said"].to_numpy(), rows["came"].to_numpy())
    usual = brier(rows["usual"].to_numpy(), rows["came"].to_numpy())
    winters, place = np.unique(rows["winter"].to_numpy(), return_inverse=True)
    sums = np.stack([np.bincount(place, s) for s in (own, usual)])
    rng = np.random.Generator(np.random.Philox(11))
    drawn = sums[:, rng.integers(len(winters), size=(repeats, len(winters)))].sum(axis=2)
    low, high = np.quantile(1.0 - drawn[0] / drawn[1], (0.05, 0.95))
    return Skill(
        float(1.0 - own.sum() / usual.sum()),
        float(low),
        float(high),
        float(own.mean()),
        float(usual.mean()),
        len(rows),
    )
