"""Snow depth of the online history, where some sources give mm under a heading that says cm."""

from typing import Final

import pandas as pd

from winterrisk.science.faults import Fault
from winterrisk.weather.history_sources import OnlineStation

DEPTH_IN_MM: Final = ("dwd_poi", "dwd_daily")
"""Sources whose snow depth is in mm under a heading that says cm."""
TEN_TIMES: Final = 3.2
"""Ratio to other sources from which a snow depth is taken as ten times too deep: half way in logarithms."""
COMPARED: Final = 5
"""Days that two sources must share before one is held against the other (judged)."""


def depth_in_cm(
    best: pd.DataFrame, table: pd.DataFrame, station: OnlineStation
) -> tuple[pd.DataFrame, list[Fault]]:
    """Snow depth [cm], that of sources known for mm divided by ten unless other sources there show them right.

    Sources are held against each other by the median depth of each day of snow.
    """
    every = table["snwd"].dropna().to_frame("value").reset_index()
    every = every[every["source"].notna() & (every["value"] > 0)]
    every["day"], every["value"] = every["time"].dt.floor("D"), every["value"].astype("float64")
    by_day = every.groupby(["source", "day"])["value"].median()
    sources = list(by_day.index.get_level_values("source").unique()) if len(by_day) else []
    others = by_day[~by_day.index.get_level_values("source").isin(DEPTH_IN_MM)].groupby("day").median()
    faults = []
    for source in set(sources) & set(DEPTH_IN_MM):
        both = (by_day.loc[source] / others).dropna()
        if len(both) >= COMPARED and float(both.median()) < TEN_TIMES:
            found = f"that {source}, known to give mm, agreed with others as cm"
            faults.append(
                Fault(f"{station.said}, snow depth", found, "", "its values are taken as they stand")
            )
            continue
        here = best["source"] == source
        best.loc[here, "value"] /= 10.0
    return best, faults
