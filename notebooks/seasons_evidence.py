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
# # Reading a season's evidence
#
# What plugs, looks and the spring survey of 2024-25 say on the invented course Ostermoor: the verdicts, what each cut
# of plugs proves, and how far they move what the weather alone would say. Small settings, so that it runs in a minute.
# Things to try next: leave out the controls, halve the plugs, another zone.

# %%
from pathlib import Path

import matplotlib.pyplot as plt
import numpy as np
import pandas as pd

from winterrisk import plugs, risk
from winterrisk.backcast import read_work, winters
from winterrisk.nightly import Settings

folder = next(
    p for p in (Path("sample_weather/ostermoor"), Path("../sample_weather/ostermoor")) if p.exists()
)
winter = "2024-25"
zones = ("4 low", "4 open")
settings = Settings(n_ground=2, n_paths=4, n_draws=100, zones=zones)
work = read_work(folder, settings)
record = work.record
cut = record.plugs[(record.plugs["cut"] >= "2024-11-01") & record.plugs["zone"].isin(zones)]
cut[["id", "zone", "cut", "batch", "control"]].head(8)

# %% [markdown]
# Verdicts as they stood on a day: alive, dead, too early to say, or void. The chance of dead before the looks is a
# quarter here.

# %%
verdicts = plugs.verdict(
    cut, record.looks, batch=record.batches, priors=0.25, on="2025-03-20T12:00", timezone=work.course.timezone
)
verdicts[["plug", "zone", "state", "chance_dead", "words"]].head(8)

# %%
assert verdicts["chance_dead"].dropna().between(0, 1).all()
verdicts.groupby(["zone", "state"]).size()

# %% [markdown]
# What each cut says of the dead share of its zone: the likelihood of its looks, never the verdict.

# %%
share = np.linspace(0.005, 0.995, 120)
figure, axis = plt.subplots(figsize=(7, 3.5))
for item in plugs.evidence(cut, record.looks, record.batches):
    told = np.exp(item.log_likelihood(share, np.array(0.15)))
    axis.plot(share, told / told.max(), label=f"{item.zone}, {str(item.cut)[:10]}: {len(item.plugs)} plugs")
axis.set_xlabel("expected dead share of the zone")
axis.set_ylabel("likelihood, highest = 1")
_ = axis.legend(fontsize=8)

# %% [markdown]
# The winter replayed with all that is known today, and the weight of every possible winter and threshold draw after the
# evidence. The effective share tells how much the evidence has narrowed.

# %%
past = next(item for item in winters(folder, settings) if item.name == winter)
draws = work.chance_draws(winter)
on = past.days[-1]
told = {}
for name, rows in (("weather alone", record.plugs.iloc[:0]), ("plugs and survey", record.plugs)):
    surveys = record.surveys if len(rows) else record.surveys.iloc[:0]
    weight = risk.weights(
        past.harm,
        draws,
        rows,
        record.looks,
        surveys,
        batches=record.batches,
        share=past.share,
        base=past.weight,
    )
    told[name] = risk.outlook(past.harm, past.winter_days, work.course, draws, weight, days=[on])
    effective = 1.0 / (weight**2).sum(("member", "draw")) / (weight.sizes["member"] * weight.sizes["draw"])
    print(name, {z: round(float(effective.sel(zone=z)), 2) for z in zones})

# %%
ranges = {}
for name, outlook in told.items():
    last = outlook.isel(day=-1)
    assert (last["dead_low"] <= last["dead_high"]).all()
    for z in zones:
        ranges[name, z] = {k: float(last[k].sel(zone=z)) for k in ("dead_low", "dead_share", "dead_high")}
pd.DataFrame(ranges).T.round(2)

# %% [markdown]
# What the survey found:

# %%
surveyed = record.surveys[(record.surveys["winter"] == winter) & record.surveys["zone"].isin(zones)]
surveyed[["zone", "dead_low", "dead_high", "cause"]]
