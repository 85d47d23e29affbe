# ---
# jupyter:
#   jupytext:
#     formats: ipynb,py:percent
#   kernelspec:
#     display_name: Python 3
#     language: python
#     name: python3
# ---

# %% [markdown]
# # One night, step by step
#
# How a night of the invented course Ostermoor is worked: from the station's hours to the call. Small settings, so
# that it runs in a minute.
# Things to try next: another night, another zone, `n_ground` and `n_paths`, a station two degrees warmer.
#

# %%
import datetime as dt
from pathlib import Path

import pandas as pd

from winterrisk.backcast import backcast_nights, read_work
from winterrisk.nightly import Settings

folder = next(
    p for p in (Path("sample_weather/ostermoor"), Path("../sample_weather/ostermoor")) if p.exists()
)
zones = ("4 low", "4 open", "2 ridge", "3 shade")
work = read_work(folder, Settings(n_ground=3, n_paths=4, n_draws=50, zones=zones))
work.course.place.name, len(work.course.zone_labels()), work.weather.as_known().sizes["time"]

# %% [markdown]
# Three nights of the hard winter: before the ice, five weeks into it, after the soaked crowns froze. Each night
# knows only what was known by 4 am of its day.

# %%
nights = [dt.date(2024, 12, 10), dt.date(2025, 2, 6), dt.date(2025, 2, 26)]
told = list(backcast_nights(folder, work, nights))
for night in told:
    print(night.alert)

# %% [markdown]
# What the crown went through in one zone: medians over the possible winters. Ice, kill temperature and water decide it.

# %%
days = told[-1].winter_days.sel(zone="4 low").median("member")
names = [
    "crown_temperature_min",
    "snow_depth_mean",
    "ice_thickness_max",
    "days_under_ice",
    "hours_wet",
    "crown_water",
]
table = pd.DataFrame({name: days[name].to_series() for name in names})
table["2025-02-15":"2025-02-26"].round(2)

# %% [markdown]
# The outlook: chance that more than a quarter of each zone is dead already, with its range over thresholds, and
# what is put down to which cause.

# %%
outlook = told[-1].outlook
tonight = outlook.sel(day="2025-02-25", band="parts")
chances = (
    tonight[["chance", "chance_low", "chance_high"]].drop_vars(["day", "band", "band_limit"]).to_dataframe()
)
assert ((chances["chance_low"] <= chances["chance"]) & (chances["chance"] <= chances["chance_high"])).all()
chances.round(2)

# %%
tonight["share_by_hazard"].to_series().unstack("hazard").round(2)
