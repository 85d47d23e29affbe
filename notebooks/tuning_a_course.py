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
# # Tuning a course, step by step
#
# Thresholds of the invented course Ostermoor learned from its plugs and surveys, looked at, adopted and taken back, on
# a copy with small settings and three of its zones. `winterrisk tune` does the same on all zones.
# Things to try next: learn `ice_steepness` as well, leave one winter out, keep three plugs only.

# %%
import datetime as dt
import shutil
import tempfile
from dataclasses import replace
from pathlib import Path

import matplotlib.pyplot as plt
import numpy as np

from winterrisk.backcast import nights_under, read_work, winters
from winterrisk.calibration import adopt, fit, fit_text, history, past_nights, preview, preview_text, undo
from winterrisk.nightly import Settings
from winterrisk.thresholds import TABLE, Thresholds

folder = next(
    p for p in (Path("sample_weather/ostermoor"), Path("../sample_weather/ostermoor")) if p.exists()
)
copy = Path(tempfile.mkdtemp()) / "ostermoor"
kept = shutil.ignore_patterns("nights", "reports", "book.sqlite*", "thresholds*", "sample_parts")
shutil.copytree(folder, copy, ignore=kept)
settings = Settings(n_ground=2, n_paths=4, n_draws=60, zones=("4 low", "4 open", "2 ridge"))
work = read_work(copy, settings)
record = work.record
plugs = record.plugs[record.plugs["zone"].isin(work.zones)]
surveys = record.surveys[record.surveys["zone"].isin(work.zones)]
print(len(plugs), "plugs; surveys by winter:", surveys.groupby("winter").size().to_dict())

# %% [markdown]
# ## Fit
# Every winter with evidence is replayed, then the sampler carries the table's prior to what the evidence allows.

# %%
past = winters(copy, settings)
found = fit(
    work.thresholds,
    past,
    plugs,
    surveys,
    (work.course.id, "notebook"),
    looks=record.looks,
    batches=record.batches,
    particles=400,
    moves=5,
)
print(fit_text(found))

# %% [markdown]
# Before and after. A refusal is an answer too: it says what is missing.

# %%
row = found.learned[0]
grid = (np.arange(2000) + 0.5) / 2000
figure, axis = plt.subplots(figsize=(7, 3.5))
bins = np.linspace(*np.quantile(TABLE[row.key].quantile(grid), [0.001, 0.999]), 40)
axis.hist(TABLE[row.key].quantile(grid), bins, density=True, alpha=0.4, label="the table")
axis.hist(found.draws[row.key], bins, density=True, alpha=0.6, label="after the evidence")
axis.set_xlabel(f"{row.key} [{row.unit}]")
_ = axis.legend()
assert row.posterior[0] < row.posterior[1] < row.posterior[2]

# %% [markdown]
# ## Preview
# Three nights under what stands and under the proposal: one replay, judged twice.

# %%
nights = [dt.date(2025, 1, 20), dt.date(2025, 2, 10), dt.date(2025, 3, 3)]
both = (work.thresholds, replace(found.thresholds, used=work.thresholds.used))
pairs = list(nights_under(copy, work, nights, both))
now, then = (past_nights(pair[side].record for pair in pairs) for side in (0, 1))
print(preview_text(preview(now, then, surveys)))

# %% [markdown]
# ## Adopt and undo
# Adopting wants a name and a reason, and a written one more where the fit was refused. Undo brings back what stood
# before.

# %%
version = adopt(
    found,
    copy,
    "Inga Varrow (invented)",
    "to see how it goes",
    on=dt.date(2025, 6, 2),
    override="a copy, nothing hangs on it" if found.refusals else "",
)
assert Thresholds.read(copy).values[row.key] == version.values[row.key]
history(copy)

# %%
back = undo(copy, "Inga Varrow (invented)", "seen enough", on=dt.date(2025, 6, 3))
assert back.version == "defaults"
assert Thresholds.read(copy).values[row.key] == TABLE[row.key].value
