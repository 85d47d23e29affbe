"""A dew point above the temperature."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.rows import Found, Verdict, rows
from winterrisk.weather.checks.series import DIGITS, series
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.gaps import runs

SUSPECT: Final = 0.3
"""How far the dew point may lie above the air temperature [K]: rounding and two sensors (judged)."""
BAD: Final = 2.0
"""Above this the dew point is bad [K] (judged)."""


def dew_point_above_air(raw: xr.Dataset) -> pd.DataFrame:
    """Hours whose dew point lies above the air temperature by more than 0.3 K (suspect) or 2 K (bad).

    Air cannot hold more water than it can at saturation. Small excess is a sensor's own error.

    Args:
        raw (time): hourly.
    Reference: Zahumensky (2004), internal consistency; the slack is judged.
    """
    air, dew = series(raw, "air_temperature"), series(raw, "dew_point")
    if air is None or dew is None or air.daily:
        return rows()
    tell, found = Telling.of(raw), []
    with np.errstate(invalid="ignore"):
        excess = np.nan_to_num(dew.values - air.values)
    kinds: tuple[tuple[Verdict, np.ndarray, float], ...] = (
        ("bad", excess > BAD + DIGITS, BAD),
        ("suspect", (excess > SUSPECT + DIGITS) & (excess <= BAD + DIGITS), SUSPECT),
    )
    for verdict, flag, limit in kinds:
        for first, length in runs(flag):
            at = first + int(np.argmax(excess[first : first + length]))
            value, until = float(dew.values[at]), dew.until(first + length - 1)
            text = (
                f"dew point {tell.value('dew_point', value)} above the air's "
                f"{tell.value('air_temperature', float(air.values[at]))}"
            )
            text += "; left out" if verdict == "bad" else "; kept"
            move = "check the humidity sensor and that both columns have the same unit"
            words = tell.sentence(dew.times[first], until, text, move)
            found.append(
                Found(
                    dew.name,
                    dew.times[first],
                    until,
                    value,
                    limit,
                    verdict,
                    "dew_point_above_air",
                    words,
                )
            )
    return rows(found)
