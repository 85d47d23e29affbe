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
# # How the column and the hazards behave
#
# One low spot of the invented course Ostermoor in its hard winter 2024-25, with central parameters: from the
# station's hours to what the crown went through, from there to doses, and from doses to chances of death.
# Things to try next: another zone, a station two degrees warmer, ice taken off a month earlier.

# %%
from pathlib import Path

import matplotlib.pyplot as plt
import numpy as np
import pandas as pd

from winterrisk import column, hazards
from winterrisk.backcast import read_work, whole_record
from winterrisk.microclimate import zone_ground, zone_weather
from winterrisk.thresholds import Thresholds

folder = next(
    p for p in (Path("sample_weather/ostermoor"), Path("../sample_weather/ostermoor")) if p.exists()
)
work = read_work(folder)
zone, grass = "4 low", "annual_bluegrass"
whole = whole_record(work.weather, work.course.id, np.datetime64("2026-03-01T00"))
hours = whole.sel(time=slice("2024-08-01", "2025-05-15"))
felt = zone_weather(hours, work.course, zone)
ground = zone_ground(work.course).sel(zone=zone)
float(felt["air_temperature"].min()), float(ground["depression_storage"])

# %% [markdown]
# The same hours with and without what people did and saw there: the book's rows of this zone.

# %%
rows = work.record.observations
seen = rows[rows["zone"] == zone].sort_values("time")
days = {
    "weather alone": column.run(felt, ground, output="days"),
    "with the book": column.run(felt, ground, events=seen, output="days"),
}
seen[["time", "kind", "value", "unit"]].tail(6)

# %% [markdown]
# Snow, ice and the crown. Where a person saw no ice, the column has none from that hour on.

# %%
names = {
    "snow_depth_mean": "snow [m]",
    "ice_thickness_max": "ice [mm]",
    "crown_temperature_min": "crown, lowest [degC]",
}
figure, axes = plt.subplots(len(names), 1, sharex=True, figsize=(9, 6))
for axis, (name, label) in zip(axes, names.items(), strict=True):
    for told, line in (("weather alone", ":"), ("with the book", "-")):
        axis.plot(days[told]["day"], days[told][name], line, label=told)
    axis.set_ylabel(label)
_ = axes[0].legend()

# %%
for told in days.values():
    assert float(abs(told["crown_water"]).max()) >= 0.0
    assert float(told["ice_thickness_max"].min()) >= 0.0

# %% [markdown]
# Doses: what the winter did to the turf, in the unit of each hazard. No chance is in them yet.

# %%
traits = {key: np.array([row]) for key, row in Thresholds.defaults().values.items()}
turf = work.course.turf().sel(zone=[zone])
inside = days["with the book"]
harm = hazards.run(inside.expand_dims(zone=[zone]), turf, traits)
doses = harm.sel(species=grass, zone=zone).isel(member=0)
pd.Series(
    {name: float(doses[f"dose_{name}"].max()) for name in hazards.HAZARDS if name != "wet_freeze"}
).round(2)

# %% [markdown]
# From a dose to a chance: half the turf dies of lack of air where the dose equals the multiplier. Only this last
# step has thresholds that plugs and surveys may move.

# %%
values = Thresholds.defaults().values
dose = np.linspace(0.0, 4.0, 200)
figure, axis = plt.subplots(figsize=(7, 3.5))
for factor, line in ((0.7, ":"), (1.0, "-"), (1.4, "--")):
    own = {**values, f"ice_multiplier.{grass}": values[f"ice_multiplier.{grass}"] * factor}
    chance = hazards.chance("ice", dose, own, grass)
    assert (np.diff(chance) >= 0).all()
    axis.plot(dose, chance, line, label=f"multiplier x {factor}")
axis.axvline(float(doses["dose_ice"].max()), color="0.5", linewidth=0.8)
axis.set_xlabel("ice dose [1]; the grey line is this winter's")
axis.set_ylabel("chance of death")
_ = axis.legend()
