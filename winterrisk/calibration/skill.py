"""How good the chances of past nights were, against what the spring surveys found; intervals always, treated apart."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from winterrisk.calibration.past_nights import PastNights
from winterrisk.calibration.preview import WARNINGS, spoken
from winterrisk.calibration.probability_scores import (
    BrierParts,
    Warnings,
    brier_parts,
    brier_score,
    brier_skill,
    consistency_bar,
    discrimination,
    economic_value,
)
from winterrisk.calibration.warning_score import PARTS
from winterrisk.sampling import flip_flop_index
from winterrisk.science.keyed import generator

Array = NDArray[np.float64]
Score = Callable[[Array, Array, Array], float]
"""(chance, outcome, climatological chance) -> score."""

ISSUED: Final = ((12, 15), (1, 15), (2, 15), (3, 15))
"""Fixed dates on which what was said is verified (judged: before seed and sod are ordered, and after)."""
PRIOR_CASES, PRIOR_CHANCE = 10.0, 0.10
"""What the climatological chance starts from: one bad winter in ten, as much as ten zones and winters (judged)."""
REPEATS: Final = 2000
INTERVAL: Final = (0.05, 0.95)
CLASSES: Final = (0.0, 0.1, 0.2, 0.4, 0.6, 0.8, 1.0)
"""Edges of the classes of chance in the reliability table [1] (judged: finer where most chances lie)."""
FEW: Final = 10
"""Cases of a class below which it says nothing (common practice, no source)."""


@dataclass(frozen=True)
class Figure90:
    """A score and its 90 % interval from whole winters drawn anew; NaN ends with fewer than two winters."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class IssueSkill:
    """Scores of what was said on one date of each winter.

    cases, winters, happened: how many zones and winters, winters, and how many of the cases were hurt. skill: Brier
    skill against a climatology fixed before each winter. discrimination: area under the curve. value: worth of acting
    at the course's cost over loss.
    """

    issued: str
    cases: int
    winters: int
    happened: int
    brier: Figure90
    parts: BrierParts
    skill: Figure90
    discrimination: float
    value: Figure90


@dataclass(frozen=True)
class Skill:
    """Everything about how good past nights were.

    issues: by date. reliability: chance class, cases, mean said, share that happened, low and high of the consistency
    bar. calls: warned against happened, over whole winters. flip_flop: by winter, of the worst zone's chance.
    close, treated, unsurveyed: cases left out, and why; treated_table: what was said and found in treated zones.
    """

    issues: tuple[IssueSkill, ...]
    reliability: pd.DataFrame
    calls: Warnings
    flip_flop: Mapping[str, float]
    close: int
    unsurveyed: int
    treated_table: pd.DataFrame
    cost_over_loss: float


def cases_of(nights: PastNights, surveys: pd.DataFrame) -> pd.DataFrame:
    """One row a winter, zone and issue date: said, outcome, close, treated, warned, usual.

    said: chance [1] on the last night up to the date; outcome: 1, 0, or NaN where close or not surveyed; warned: before
    the survey; usual: climatological chance fixed before the winter.
    """
    whole = surveys[surveys["species"].fillna("all").isin(("all", ""))]
    found = {(str(r["winter"]), str(r["zone"])): r for r in whole.sort_values("date").to_dict("records")}
    calls = spoken(nights.calls)
    calls = calls[calls["kind"].isin(WARNINGS)]
    rows = []
    for (winter, zone), own in nights.zones.groupby(["winter", "zone"], sort=True):
        survey = found.get((str(winter), str(zone)))
        outcome, close = _outcome(survey)
        by = pd.Timestamp(survey["date"]) if survey else None
        mine = pd.to_datetime(calls.loc[(calls["winter"] == winter) & (calls["zone"] == zone), "on"])
        warned = bool(((mine <= by) if by is not None else mine.notna()).any())
        days = pd.to_datetime(own["on"])
        for month, day in ISSUED:
            date = pd.Timestamp(int(str(winter)[:4]) + (month < 7), month, day)
            before = own[(days <= date) & own["judged"].to_numpy()]
            if len(before):
                rows.append(
                    {"winter": winter, "zone": zone, "issued": f"{month}-{day}",
                     "said": float(before["chance"].iloc[-1]),
                     "outcome": outcome, "close": close, "treated": bool(own["treated"].any()), "warned": warned}
                )  # fmt: skip
    columns = ["winter", "zone", "issued", "said", "outcome", "close", "treated", "warned"]
    kinds = {"treated": bool, "warned": bool, "close": bool, "outcome": float, "said": float}
    table = pd.DataFrame(rows, columns=columns).astype(kinds)
    table["usual"] = table["winter"].map(_usual(table)).astype(np.float64)
    return table


def _outcome(survey: Mapping[str, object] | None) -> tuple[float, bool]:
    if survey is None:
        return float("nan"), False
    low, high = float(survey["dead_low"]), float(survey["dead_high"])  # type: ignore[arg-type]
    if low >= PARTS:
        return 1.0, False
    return (0.0, False) if high <= PARTS else (float("nan"), True)


def _usual(table: pd.DataFrame) -> dict[str, float]:
    """Chance of harm before each winter: the prior and the share of earlier cases, each as often as it is."""
    one = table.drop_duplicates(["winter", "zone"]).dropna(subset="outcome")
    usual, yes, cases = {}, PRIOR_CHANCE * PRIOR_CASES, PRIOR_CASES
    for winter in sorted(table["winter"].unique()):
        usual[winter] = yes / cases
        here = one[one["winter"] == winter]
        yes, cases = yes + float(here["outcome"].sum()), cases + len(here)
    return usual


def skill(nights: PastNights, surveys: pd.DataFrame, cost_over_loss: float) -> Skill:
    """How good what was said on past nights was.

    Zones that were cleared, covered or vented are told apart: what the work spared nobody knows. A survey whose range
    takes in a quarter is close and counts for neither side.

    Args:
        nights: as said or worked anew. surveys: of the book. cost_over_loss [1]: from the course's money.
    """
    table = cases_of(nights, surveys)
    fair = table[~table["treated"] & table["outcome"].notna()]
    once = table.drop_duplicates(["winter", "zone"])
    own = fair.drop_duplicates(["winter", "zone"])
    happened, warned = own["outcome"] == 1, own["warned"]
    calls = Warnings(
        int((warned & happened).sum()), int((warned & ~happened).sum()),
        int((~warned & happened).sum()), int((~warned & ~happened).sum()),
    )  # fmt: skip
    worst = nights.zones.groupby(["winter", "on"])["chance"].max()
    flips = {str(w): flip_flop_index(list(g)) for w, g in worst.groupby("winter")}
    issues = (_issue(name, rows, cost_over_loss) for name, rows in fair.groupby("issued", sort=False))
    return Skill(
        tuple(issues), _reliability(fair), calls, flips,
        close=int(once["close"].sum()),
        unsurveyed=int((once["outcome"].isna() & ~once["close"]).sum()),
        treated_table=table[table["treated"]].drop(columns=["treated", "usual"]).reset_index(drop=True),
        cost_over_loss=cost_over_loss,
    )  # fmt: skip


def _issue(name: str, rows: pd.DataFrame, ratio: float) -> IssueSkill:
    p, o, usual = (rows[n].to_numpy(np.float64) for n in ("said", "outcome", "usual"))
    winters = rows["winter"].to_numpy()

    def with_interval(score: Score) -> Figure90:
        return Figure90(score(p, o, usual), *_interval(score, p, o, usual, winters))

    return IssueSkill(
        issued=name, cases=len(rows), winters=len(np.unique(winters)), happened=int(o.sum()),
        brier=with_interval(lambda p, o, usual: brier_score(p, o)), parts=brier_parts(np.round(p, 1), o),
        skill=with_interval(lambda p, o, usual: brier_skill(p, o, usual)), discrimination=discrimination(p, o),
        value=with_interval(lambda p, o, usual: economic_value(p, o, ratio)),
    )  # fmt: skip


def _interval(
    score: Score, p: Array, o: Array, usual: Array, winters: NDArray[np.object_]
) -> tuple[float, float]:
    names, place = np.unique(winters, return_inverse=True)
    if len(names) < 2:
        return float("nan"), float("nan")
    rng = generator("skill", *map(str, names))
    members = [np.flatnonzero(place == k) for k in range(len(names))]
    found = []
    for _ in range(REPEATS):
        chosen = np.concatenate([members[k] for k in rng.integers(len(names), size=len(names))])
        value = score(p[chosen], o[chosen], usual[chosen])
        if np.isfinite(value):
            found.append(value)
    if not found:
        return float("nan"), float("nan")
    low, high = np.quantile(found, INTERVAL)
    return float(low), float(high)


def interval_of_means(values: Array, winters: NDArray[np.object_]) -> Figure90:
    """Mean of the values of cases and its 90 % interval, whole winters drawn anew."""
    ends = _interval(lambda p, o, usual: float(p.mean()), values, values, values, winters)
    return Figure90(float(values.mean()), *ends)


def _reliability(fair: pd.DataFrame) -> pd.DataFrame:
    p, o = fair["said"].to_numpy(), fair["outcome"].to_numpy()
    rows = []
    for low, high in pairwise(CLASSES):
        inside = (p >= low) & ((p < high) | (high == CLASSES[-1]))
        count = int(inside.sum())
        if not count:
            continue
        bar = consistency_bar(float(p[inside].mean()), count)
        rows.append((f"{low:.0%}-{high:.0%}", count, float(p[inside].mean()), float(o[inside].mean()), *bar))
    return pd.DataFrame(rows, columns=["class", "cases", "said", "happened", "bar_low", "bar_high"])


def issues_table(told: Skill) -> pd.DataFrame:
    """The scores by date as one row each, for files."""
    rows: Sequence[Mapping[str, object]] = [
        {
            "issued": i.issued, "cases": i.cases, "winters": i.winters, "happened": i.happened,
            "brier": i.brier.value, "brier_low": i.brier.low, "brier_high": i.brier.high,
            "reliability": i.parts.reliability, "resolution": i.parts.resolution, "uncertainty": i.parts.uncertainty,
            "skill": i.skill.value, "skill_low": i.skill.low, "skill_high": i.skill.high,
            "discrimination": i.discrimination,
            "value": i.value.value, "value_low": i.value.low, "value_high": i.value.high,
        }
        for i in told.issues
    ]  # fmt: skip
    return pd.DataFrame(rows)
