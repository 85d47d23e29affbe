"""How long the plan of a large course takes: 54 zones, 40 members, 200 threshold draws, ten days ahead.

    python tests/sampling/benchmark_plan.py

Chances are invented; the smallest of three runs is printed.
"""

import datetime as dt
import tempfile
import time
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.course import read_course
from winterrisk.sampling import Stakes, plan

GREENS, MEMBERS, DRAWS, DAYS = 18, 40, 200, 10
ZONES = ("low", "open", "ridge")
ON = dt.date(2025, 1, 20)


def main() -> None:
    """Prints one line."""
    folder = Path(tempfile.mkdtemp())
    zones = ", ".join(f'{{name = "{z}", template = "open"}}' for z in ZONES)
    areas = "".join(
        f'[[areas]]\nname = "{g}"\nkind = "green"\nsize = 450\nzones = [{zones}]\n'
        for g in range(1, GREENS + 1)
    )
    place = "latitude = 45.0\nlongitude = -93.0\nelevation = 250\n"
    (folder / "course.toml").write_text(
        f'[place]\nname = "Large Links (invented)"\n{place}timezone = "America/Chicago"\n{areas}'
        f'[station]\nfile = "none.csv"\nname = "none"\n{place}step = "daily"\n',
        encoding="utf-8",
    )
    course = read_course(folder)
    labels = list(course.zone_labels())
    rng = np.random.Generator(np.random.Philox(1))
    days = np.datetime64(ON) - 1 + np.arange(DAYS + 1)
    grown = np.cumsum(rng.beta(0.3, 12.0, (DAYS + 1, len(labels), MEMBERS, DRAWS)), axis=0)
    expected = np.minimum(grown, 1.0).astype(np.float32)
    chance = np.stack([(expected > limit).mean(axis=(2, 3)) for limit in (0.005, 0.05, 0.25, 0.6)], axis=-1)
    shape = (DAYS + 1, len(labels), MEMBERS)
    four = ("day", "zone", "band")
    outlook = xr.Dataset(
        {
            "chance": (four, chance), "chance_low": (four, 0.7 * chance),
            "chance_high": (four, np.minimum(1.4 * chance, 1)),
            "dead_share": (("day", "zone"), expected.mean(axis=(2, 3))),
            "expected": (("day", "zone", "member", "draw"), expected),
            "weight": (("zone", "member", "draw"), np.full((len(labels), MEMBERS, DRAWS), 1.0 / MEMBERS / DRAWS)),
            "share_by_hazard": (("day", "zone", "hazard"), np.full((*shape[:2], 2), 0.5)),
            "evidence_until": ("zone", np.full(len(labels), np.datetime64("NaT", "s"))),
            "ice_thickness_max": (("day", "zone", "member"), 10.0 * (rng.random(shape) < 0.5)),
            "days_under_ice": (("day", "zone", "member"), 30.0 * rng.random(shape)),
            "crown_water": (("day", "zone", "member"), rng.random(shape)),
            "hours_wet_lately": (("day", "zone", "member"), 20.0 * rng.random(shape)),
        },
        coords={"day": days, "zone": labels, "band": ["trace", "spots", "parts", "most"], "hazard": ["ice", "cold"]},
        attrs={"survey_precision": 10.0},
    )  # fmt: skip
    weather = xr.Dataset(
        {"air_temperature": ("time", [0.0])}, coords={"time": [np.datetime64("2025-01-01", "ns")]}
    )
    book = SimpleNamespace(
        observations=pd.DataFrame({"zone": [], "area": [], "kind": [], "time": []}), plugs=None
    )
    took = []
    for _ in range(3):
        begin = time.perf_counter()
        told = plan(outlook, course, book, Stakes(), weather, ON, until=days[-1].astype(dt.date))
        took.append(time.perf_counter() - begin)
    print(f"plan of {len(labels)} zones x {MEMBERS} members x {DRAWS} draws x {DAYS} days: {min(took):.2f} s, "
          f"{len(told.calls)} calls, {len(told.held_back)} held back")  # fmt: skip


if __name__ == "__main__":
    main()
