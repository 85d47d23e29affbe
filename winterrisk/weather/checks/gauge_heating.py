"""A gauge that shows nothing in the cold: it looks unheated."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.rows import Found, rows
from winterrisk.weather.checks.series import Array, nearby, series
from winterrisk.weather.checks.telling import Telling

COLD, MILD = -3.0, 1.0
"""Air below which snow stays in an unheated gauge, and above which it melts [degC] (judged)."""
FEWEST_COLD: Final = {"hour": 300, "day": 20}
"""Cold steps of a winter that the judgement needs (judged)."""
EXPECTED: Final = {"hour": 15.0, "day": 4.0}
"""Wet steps that the cold should have had at a quarter of the mild steps' wet share (judged: chance zeros are then
out of the question, wet hours coming in rows)."""
COLD_SHARE: Final = 0.25
"""Wet share of cold air over that of mild air that a heated gauge has at least, about (judged: cold air is
drier)."""
SHOWN: Final = 0.05
"""Share of the expected wet steps at or below which the gauge shows as good as nothing (judged)."""
SNOW_RISES: Final = 0.15
"""Sum of the rises of snow depth in cold air that prove snowfall [m] (judged)."""
LEAST_RISE: Final = {"hour": 0.01, "day": 0.02}
"""Rise of one step that counts [m]: under it is noise (judged)."""
BY_SNOW: Final = 5
"""Rises of the snow depth beside which the gauge showed nothing (judged)."""
WINTER_STARTS: Final = 6
"""Months from January to the first of a winter, 1 July."""


def looks_unheated(raw: xr.Dataset) -> pd.DataFrame:
    """Winters in which the gauge showed as good as no precipitation below -3 degC though there was some: a note.

    Either snow depth rose in such air again and again (15 cm in all), or the wet share of air above +1 degC
    was usual, so that the cold should have had some too. Zeros of such a gauge are missing values, and what
    melts out later is no rain.

    Args:
        raw (time): hourly or daily (by the day's highest).
    Reference: judged.
    """
    water = series(raw, "precipitation")
    air = series(raw, "air_temperature_max" if raw.attrs.get("step") == "daily" else "air_temperature")
    if water is None or air is None:
        return rows()
    step = "day" if water.daily else "hour"
    known = np.isfinite(water.values) & np.isfinite(air.values)
    with np.errstate(invalid="ignore"):
        cold, mild = known & (air.values < COLD), known & (air.values > MILD)
        wet = water.values > 0.0
    risen = _rises(raw, LEAST_RISE[step], len(wet))
    months = water.times.astype("datetime64[M]").astype(np.int64) - WINTER_STARTS
    season = np.isin((months + WINTER_STARTS) % 12, (9, 10, 11, 0, 1, 2, 3))
    tell, found = Telling.of(raw), []
    for winter in np.unique(months // 12):
        here = (months // 12 == winter) & season
        n_cold, n_mild = int((cold & here).sum()), int((mild & here).sum())
        if n_cold < FEWEST_COLD[step]:
            continue
        shown = int((cold & here & wet).sum())
        expected = COLD_SHARE * n_cold * (mild & here & wet).sum() / max(n_mild, 1)
        snow = risen[cold & here & (risen > 0)]
        by_share = expected >= EXPECTED[step] and shown <= SHOWN * expected
        by_snow = snow.sum() >= SNOW_RISES and len(snow) >= BY_SNOW and shown <= SHOWN * len(snow)
        if not (by_share or by_snow):
            continue
        at = np.flatnonzero(cold & here)
        reason = (
            f"while snow depth rose by {tell.value('snow_depth', float(snow.sum()))}"
            if by_snow
            else f"where about {expected:.0f} {step}s with some are usual"
        )
        text = (
            f"the gauge looks unheated: {shown} of {n_cold} {step}s below "
            f"{tell.value('air_temperature', COLD)} show precipitation {reason}"
        )
        until = water.until(int(at[-1]))
        move = 'set gauge.kind = "unheated" in course.toml if it is, or look at its heating'
        words = tell.sentence(water.times[at[0]], until, text, move)
        found.append(
            Found(
                water.name,
                water.times[at[0]],
                until,
                float(shown),
                float(expected),
                "note",
                "looks_unheated",
                words,
            )
        )
    return rows(found)


def _rises(raw: xr.Dataset, least: float, size: int) -> Array:
    depth = series(raw, "snow_depth")
    if depth is None:
        return np.zeros(size)
    rise = np.nan_to_num(depth.values - nearby(depth.values, -1))
    return np.where(rise >= least - 1e-9, rise, 0.0)
