"""Published turf outcomes against the hazards, one summary line last.

usage: turf_scores.py [CASES.csv ...]        (the shipped table when no file is given)

A case is a made-up series of crown days that stands for a published winter, chamber or event, and the range
that was published for it. Columns:

  id, species, citation
  biotype     plain or hardy; empty = plain
  start_kill  kill temperature before the first day [degC]; empty = turf in growth
  kind        hardiness, ice, event, mould, drying or spring (sets the date; drying counts bare frozen days)
  series      JSON list of {days, crown_min, crown_mean, crown_max, wet_hours, sealed, store_days, snow_m};
              sealed as a share of the day or in hours; what is left out is 0 (store_days 0.5)
  ask         kill_temperature [degC], dead [0-1], water [0-1], loss [K] or order
  low, high   published range; for an order low = JSON list of ids, most dead first, high = smallest step

Values are those after the last day, dead as running maximum, at central thresholds, one member. An order may
name rows of any file given, or of the shipped table. A row that cannot be worked is refused by its id.
Exit code: 0 every row met, 1 a row missed or refused, 2 no table.
"""

import math
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import xarray as xr

sys.path.insert(0, str(Path(__file__).parent))
from turf_cases import Case, CaseError, case_days, read_cases

from winterrisk import hazards
from winterrisk.hazards.wet_freeze import crown_water
from winterrisk.thresholds import TABLE, Thresholds

SHIPPED = Path(__file__).parent / "data" / "turf_cases.csv"

Values = Mapping[str, float]
ChanceOf = Callable[[str, np.ndarray, Values, str], np.ndarray]


@dataclass(frozen=True)
class Result:
    """A case, its value, and whether the value is in the published range."""

    case: Case
    value: float
    met: bool


def one_turf(species: str, hardy: bool = False) -> xr.Dataset:
    """Turf of one grass in one zone."""
    return xr.Dataset(
        {"share": (("zone", "species"), [[1.0]]), "hardy": ("zone", [hardy])},
        coords={"zone": ["case"], "species": [species]},
    )


def limit_key(case: Case) -> str:
    """Key of the row with the hardest kill temperature of the case's grass."""
    hardy = f"kill_limit_hardy.{case.species}"
    return hardy if case.biotype == "hardy" and hardy in TABLE else f"kill_limit.{case.species}"


def case_traits(case: Case, changed: Values) -> dict[str, np.ndarray]:
    """Central traits; a case that starts harder than the grass's limit raises the limit to its start."""
    traits = {key: np.array([value]) for key, value in changed.items()}
    key = limit_key(case)
    limit = float(changed.get(key, TABLE[key].value))
    if case.start_kill is not None and case.start_kill < limit:
        traits[key] = np.array([case.start_kill])
    return traits


def harm_of(case: Case, changed: Values | None = None) -> xr.Dataset:
    """Doses and kill temperature (day) of the case, at central traits but for the rows changed."""
    harm = hazards.run(
        case_days(case),
        one_turf(case.species, case.biotype == "hardy"),
        case_traits(case, changed or {}),
        start_kill=case.start_kill,
    )
    return harm.isel(species=0, zone=0, member=0)


def dead_share(harm: xr.Dataset, species: str, chance: ChanceOf) -> float:
    """Dead share after the last day [0-1], as running maximum, at central thresholds; no background."""
    values = Thresholds.defaults().values
    chances = {
        name: np.asarray(chance(name, hazards.cumulative(harm[f"dose_{name}"].to_numpy()), values, species))
        for name in hazards.HAZARDS
    }
    return float(np.maximum.accumulate(hazards.combine(chances))[-1])


def crown_water_share(harm: xr.Dataset) -> float:
    """Water share of the crown after the last day [1]."""
    last = harm.isel(day=-1)
    kill, wetness = last["kill_temperature"].to_numpy(), last["wetness"].to_numpy()
    return float(crown_water(kill, TABLE["soft_kill"].value, wetness))


def value_from(harm: xr.Dataset, case: Case, chance: ChanceOf = hazards.chance) -> float:
    """The asked value after the last day."""
    if case.ask == "kill_temperature":
        return float(harm["kill_temperature"][-1])
    if case.ask == "loss":
        return float(harm["kill_temperature"][-1] - harm["kill_temperature"][0])
    if case.ask == "water":
        return crown_water_share(harm)
    return dead_share(harm, case.species, chance)


def value_of(case: Case) -> float:
    """The asked value after the last day, at central thresholds and one member."""
    return value_from(harm_of(case), case)


def score(
    cases: list[Case],
    value: Callable[[Case], float] = value_of,
    known: Mapping[str, Case] | None = None,
) -> list[Result]:
    """Every case with its value; an order case's value is its smallest step.

    Args:
        known: further cases that an order may name, by id.
    Raises:
        CaseError: an order names a case that is none.
    """
    results = [Result(c, v, c.low <= v <= c.high) for c in cases if c.ask != "order" for v in [value(c)]]
    values = {r.case.id: r.value for r in results}
    for case in cases:
        if case.ask != "order":
            continue
        for name in case.ids:
            if name not in values:
                other = (known or {}).get(name)
                if other is None or other.ask == "order":
                    raise CaseError(f"{case.id}: orders {name!r}, which is no case with a value")
                values[name] = value(other)
        step = float(np.min(-np.diff([values[i] for i in case.ids])))
        results.append(Result(case, step, step >= case.high))
    return results


def scored(paths: list[Path]) -> tuple[list[Result], dict[str, str]]:
    """Results of every file, and the rows refused (id -> reason)."""
    refused: dict[str, str] = {}
    tables = []
    for path in paths:
        cases, bad = read_cases(path)
        refused |= {f"{name} ({path.name})" if name in refused else name: why for name, why in bad.items()}
        tables.append(cases)
    shipped = {c.id: c for c in read_cases(SHIPPED)[0]} if paths != [SHIPPED] else {}
    known = shipped | {c.id: c for cases in tables for c in cases}
    results = []
    for cases in tables:
        for case in cases:
            try:
                results += score([case], known=known)
            except (CaseError, ValueError) as fault:
                refused[case.id] = str(fault)
    return results, refused


def asked(case: Case) -> str:
    """The range of the case in words."""
    if case.ask == "order":
        return f"step >= {case.high:g}"
    low, high = (f"{v:g}" if math.isfinite(v) else "" for v in (case.low, case.high))
    return f"{low}..{high}"


def main(arguments: list[str]) -> int:
    """Print every case, every refusal and one summary line."""
    if any(a in ("-h", "--help") for a in arguments):
        print(__doc__)
        return 0
    try:
        results, refused = scored([Path(a) for a in arguments] or [SHIPPED])
    except CaseError as fault:
        print(f"turf cases: {fault}")
        return 2
    for r in results:
        word = "ok  " if r.met else "MISS"
        print(f"{word} {r.case.id:34s} {r.case.ask:16s} {r.value:8.3f}  {asked(r.case)}")
    for name, why in refused.items():
        print(f"REFUSED {name}: {why}")
    missed = [r.case.id for r in results if not r.met]
    met = len(results) - len(missed)
    total = len(results) + len(refused)
    unread = f"; refused: {', '.join(refused)}" if refused else ""
    print(f"turf cases: {met} of {total} met; missed: {', '.join(missed) or 'none'}{unread}")
    return 1 if missed or refused or not total else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
