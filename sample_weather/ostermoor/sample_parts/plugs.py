"""The invented plugs: where and when they were cut, how they stood in the warm, and what the looks showed."""

from __future__ import annotations

import numpy as np
import pandas as pd

from .place import ASSISTANT, SUPERINTENDENT, ZONES, bluegrass
from .weather import LAST_HOUR

LOOK_DAYS = (3, 5, 7, 10, 14)
GREEN_UP = {"annual_bluegrass": 82.0, "creeping_bent": 98.0}  # median degree-days above GROWTH_BASE
GROWTH_BASE = 5.0  # degC
GREEN_UP_SPREAD = 0.33  # standard deviation of the logarithm
SHARED_FATE = 0.15  # correlation of plugs of one zone and batch
VOID_BATCH = 9  # its sill froze one night
MISREAD = (8, "4 low")  # green stain taken for growth, in the second plug of that batch and zone

# batch, day cut, room, degC, hours of light, light sum, zones with the number of plugs
_BATCHES = """
1  2021-02-09 sill 19.0  9.5  6.0  4 low 2, 3 shade 2, 2 ridge 1, nursery open 1
2  2021-03-16 sill 19.5 12.0  9.0  4 low 2, 9 low 2, 6 north 1, nursery open 1
3  2022-02-15 sill 18.5 10.0  6.5  4 low 2, 2 low 2, 7 shade 1, 4 open 1, nursery open 1
4  2022-03-22 sill 19.0 12.0  9.0  4 low 2, 3 shade 2, 9 dam 1, nursery open 1
5  2023-01-24 sill 18.5  9.0  5.5  4 low 3, 2 low 2, 9 low 2, nursery open 1
6  2023-02-07 lamp 20.0 14.0 11.0  4 low 3, 6 drain 2, 7 low 2, 1 low 1, nursery open 1
7  2023-02-21 lamp 20.0 14.0 11.0  4 low 3, 4 dam 2, 9 dam 2, 2 low 2, nursery open 1
8  2023-03-13 sill 19.0 11.5  8.5  4 low 3, 1 low 2, 2 ridge 1, 8 edge 2, nursery open 1
9  2024-01-30 sill 15.0  9.0  5.0  4 low 3, 9 low 2, 3 shade 2, nursery open 1
10 2024-02-12 sill 18.5 10.0  6.5  4 low 3, 4 dam 2, 2 low 2, nursery open 1
11 2025-02-11 sill 19.0 10.0  6.5  4 low 3, 9 low 2, 2 low 2, 3 shade 2, nursery open 1
12 2025-02-27 lamp 20.0 14.0 11.0  4 low 3, 4 open 3, 7 low 2, 9 low 2, 2 ridge 1, nursery open 1
13 2025-03-17 sill 19.5 12.0  9.0  4 low 2, 6 drain 2, 7 shade 2, 5 open 2, nursery open 1
14 2026-02-03 sill 18.5  9.5  6.0  4 low 3, 9 low 2, 2 low 2, nursery open 1
15 2026-02-19 lamp 20.0 14.0 11.0  9 dam 2, 6 drain 1, nursery open 1
"""

_ZONE = {zone.label: zone for zone in ZONES}
PLUG_COLUMNS = [
    *("id", "area", "zone", "spot", "cut", "depth_mm", "crowns", "control"),
    *("ice_mm", "batch", "label", "who", "known"),
]
BATCH_COLUMNS = ["id", "warm_from", "room", "temperature", "light_hours", "light_mol", "void"]
LOOK_COLUMNS = ["plug", "time", "species", "new_growth", "colour", "smell", "who", "known"]


def _batches() -> list[tuple[dict[str, object], list[str]]]:
    """Each batch with the zone of every plug in it."""
    out = []
    for line in _BATCHES.splitlines():
        if not line.strip():
            continue
        number, day, room, warmth, hours, light, rest = line.split(None, 6)
        zones = []
        for part in rest.split(","):
            zone, count = part.strip().rsplit(" ", 1)
            zones += [zone] * int(count)
        batch = {
            "id": int(number),
            "warm_from": pd.Timestamp(day) + pd.Timedelta(hours=22),
            "room": room,
            "temperature": float(warmth),
            "light_hours": float(hours),
            "light_mol": float(light),
            "void": int(number) == VOID_BATCH,
        }
        out.append((batch, zones))
    return out


def _species(zone: str) -> list[str]:
    share = bluegrass(_ZONE[zone])
    return [name for name, part in (("annual_bluegrass", share), ("creeping_bent", 1 - share)) if part > 0.15]


def _colour(growth: float, day: int) -> str:
    if growth >= 0.3:
        return "green"
    if growth > 0:
        return "pale green"
    return "straw" if day >= 7 else "dull"


def _look_rows(
    plug: dict, alive: dict[str, bool], batch: dict, misread: bool, rng: np.random.Generator
) -> list[dict]:
    """The looks at one plug, species by species, until it is plainly green or two weeks are over."""
    spread = 0.4 * GREEN_UP_SPREAD if plug["control"] else GREEN_UP_SPREAD
    ages = {n: GREEN_UP[n] * np.exp(spread * rng.standard_normal()) for n in alive}
    full = {n: rng.uniform(0.55, 0.95) for n in alive}
    sour = plug["ice_mm"] > 0 and rng.random() < (0.1 if all(alive.values()) else 0.55)
    rows, plain = [], 0
    for day in LOOK_DAYS:
        time = batch["warm_from"] + pd.Timedelta(days=day) - pd.Timedelta(hours=int(rng.integers(1, 7)))
        if time > LAST_HOUR or plain == 2:
            break
        seen = {}
        for name, lives in alive.items():
            warmth = (batch["temperature"] - GROWTH_BASE) * day
            growth = full[name] / (1 + np.exp(-(warmth - ages[name] - 8) / 8)) if lives else 0.0
            seen[name] = round(float(growth), 2) if growth >= 0.04 else 0.0
        who = ASSISTANT if rng.random() < 0.3 else SUPERINTENDENT
        if misread and day == 7:
            seen, who = dict.fromkeys(seen, 0.3), ASSISTANT
        plain += min(seen.values()) >= 0.4
        known = time.normalize() + pd.Timedelta(hours=23, minutes=int(rng.integers(0, 50)))
        for name, growth in seen.items():
            smell = "sour" if sour and day <= 7 else "none"
            rows.append(
                {
                    "plug": plug["id"],
                    "time": time,
                    "species": name,
                    "new_growth": growth,
                    "colour": _colour(growth, day),
                    "smell": smell,
                    "who": who,
                    "known": known,
                }
            )
    return rows


def _alive(chance: dict[str, float], crowns: str, control: bool, rng: np.random.Generator) -> dict[str, bool]:
    """Whether each grass of one plug lives; bent needs its crowns on the plug, controls are known to live."""
    out = {name: bool(rng.random() >= dead) or control for name, dead in chance.items()}
    if crowns == "no" and "creeping_bent" in out and len(out) > 1:
        out["creeping_bent"] = False
    return out


def _crowns(rng: np.random.Generator) -> str:
    """Whether the crowns came out with the plug: frozen plugs snap at the thatch now and then."""
    return str(rng.choice(["yes", "unknown", "no"], p=[0.82, 0.14, 0.04]))


def _shared(dead: float, rng: np.random.Generator) -> float:
    """The dead chance that plugs of one zone and batch share: beta with mean `dead`."""
    mean = float(np.clip(dead, 0.002, 0.998))
    size = 1 / SHARED_FATE - 1
    return float(rng.beta(mean * size, (1 - mean) * size))


def plug_tables(truth: pd.DataFrame, rng: np.random.Generator) -> dict[str, pd.DataFrame]:
    """Tables plugs, batches and looks, with the columns of the book."""
    states = truth.set_index(["day", "zone"])
    plugs, looks, batches = [], [], []
    for batch, zones in _batches():
        batches.append(batch)
        day = batch["warm_from"].normalize()
        chances: dict[str, dict[str, float]] = {}
        for n, zone in enumerate(zones):
            state = states.loc[(day, zone)]
            spot = zones[: n + 1].count(zone)
            chance = chances.setdefault(zone, {s: _shared(state[f"dead_{s}"], rng) for s in _species(zone)})
            crowns = "yes" if zone.startswith("nursery") else _crowns(rng)
            cut = day + pd.Timedelta(hours=16, minutes=8 * n)
            plug = {
                "id": len(plugs) + 1,
                "area": _ZONE[zone].area,
                "zone": _ZONE[zone].name,
                "spot": spot,
                "cut": cut,
                "depth_mm": int(rng.integers(40, 66)),
                "crowns": crowns,
                "control": zone.startswith("nursery"),
                "ice_mm": round(state.ice) if state.ice >= 2.5 else 0,
                "batch": batch["id"],
                "label": f"{zone} {'abcdef'[spot - 1]}",
                "who": SUPERINTENDENT,
                "known": day + pd.Timedelta(hours=23),
            }
            plugs.append(plug)
            alive = _alive(chance, crowns, plug["control"], rng)
            misread = (batch["id"], zone) == MISREAD and spot == 2
            if batch["void"] or misread:
                alive = dict.fromkeys(alive, False)
            looks += _look_rows(plug, alive, batch, misread, rng)
    return {
        "plugs": pd.DataFrame(plugs).reindex(columns=PLUG_COLUMNS),
        "batches": pd.DataFrame(batches).reindex(columns=BATCH_COLUMNS),
        "looks": pd.DataFrame(looks).reindex(columns=LOOK_COLUMNS),
    }
