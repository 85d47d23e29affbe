"""How good past nights were: by hand on small tables, and against the library `scores` where it is installed.

Brier score and its parts: Murphy (1973); consistency bars: Broecker and Smith (2007); value: Richardson (2000).
"""

import numpy as np
import pandas as pd
import pytest

from winterrisk.calibration import PastNights
from winterrisk.calibration.skill import PRIOR_CASES, PRIOR_CHANCE, cases_of, issues_table, skill
from winterrisk.calibration.skill_text import skill_lines

WINTERS = ("2021-22", "2022-23", "2023-24", "2024-25")
ZONES = ("4 low", "4 open", "9 ridge")
HURT = {("2022-23", "4 low"), ("2024-25", "4 low"), ("2024-25", "4 open")}


def nights(said, *, calls=(), treated=()) -> PastNights:
    """Two nights of each winter, 10 January and 10 February; said (winter, zone, month) gives the chance."""
    zones = [
        (w, f"20{w[5:]}-{month:02d}-10", z, said(w, z, month), 0.0, 1.0, 0.0, (w, z) in treated, True)
        for w in WINTERS
        for month in (1, 2)
        for z in ZONES
    ]
    names = ["winter", "on", "zone", "chance", "low", "high", "chance_now", "treated", "judged"]
    told = [(w, on, z, "pull", 0.5, "") for w, on, z in calls]
    columns = ["winter", "on", "zone", "kind", "chance", "held_because"]
    return PastNights(pd.DataFrame(told, columns=columns), pd.DataFrame(zones, columns=names))


def surveys(**close) -> pd.DataFrame:
    rows = [
        (w, f"20{w[5:]}-05-02", z, *((0.3, 0.5) if (w, z) in HURT else (0.0, 0.05)), "all")
        for w in WINTERS
        for z in ZONES
    ]
    return pd.DataFrame(rows, columns=["winter", "date", "zone", "dead_low", "dead_high", "species"])


def knows(winter: str, zone: str, month: int) -> float:
    return 1.0 if (winter, zone) in HURT else 0.0


def test_who_knows_has_full_skill_and_worth() -> None:
    told = skill(nights(knows, calls=[(w, f"20{w[5:]}-02-10", z) for w, z in HURT]), surveys(), 0.25)
    assert [i.issued for i in told.issues] == ["1-15", "2-15", "3-15"], "no night lies before 15 December"
    for issue in told.issues:
        assert (issue.cases, issue.winters, issue.happened) == (12, 4, 3)
        assert issue.brier.value == 0.0 and issue.skill.value == 1.0
        assert issue.discrimination == 1.0 and issue.value.value == pytest.approx(1.0)
    assert (told.calls.hits, told.calls.misses, told.calls.false_alarms, told.calls.correct_negatives) == (
        3,
        0,
        0,
        9,
    )
    assert told.flip_flop == dict.fromkeys(WINTERS, 0.0)


def test_the_usual_is_fixed_before_each_winter() -> None:
    table = cases_of(nights(knows), surveys())
    usual = table.drop_duplicates("winter").set_index("winter")["usual"]
    yes, cases = PRIOR_CHANCE * PRIOR_CASES, PRIOR_CASES
    for winter, hurt in zip(WINTERS, (0, 1, 0, 2), strict=True):
        assert usual[winter] == pytest.approx(yes / cases)
        yes, cases = yes + hurt, cases + 3
    told = skill(nights(lambda w, z, m: float(usual[w])), surveys(), 0.25)
    assert told.issues[0].skill.value == pytest.approx(0.0), "saying the usual has no skill"


def test_the_last_night_up_to_the_date_counts_and_a_blind_one_does_not() -> None:
    table = cases_of(nights(lambda w, z, m: m / 10), surveys())
    assert set(table.loc[table["issued"] == "1-15", "said"]) == {0.1}
    assert set(table.loc[table["issued"] == "2-15", "said"]) == {0.2}
    own = nights(lambda w, z, m: m / 10)
    own.zones.loc[own.zones["on"].str.contains("-02-"), "judged"] = False
    assert set(cases_of(own, surveys()).loc[lambda t: t["issued"] == "3-15", "said"]) == {0.1}


def test_treated_zones_stand_apart_close_ones_and_unsurveyed_are_counted() -> None:
    found = surveys()
    found.loc[(found["winter"] == "2021-22") & (found["zone"] == "9 ridge"), ["dead_low", "dead_high"]] = (
        0.2,
        0.3,
    )
    found = found[~((found["winter"] == "2023-24") & (found["zone"] == "4 low"))]
    told = skill(nights(knows, treated={("2024-25", "4 low")}), found, 0.25)
    assert told.issues[-1].cases == 12 - 3 and told.issues[-1].happened == 2
    assert (told.close, told.unsurveyed) == (1, 1)
    assert set(zip(told.treated_table["winter"], told.treated_table["zone"], strict=True)) == {
        ("2024-25", "4 low")
    }
    text = "\n".join(skill_lines(told, 4))
    assert (
        "Apart, treated" in text
        and "4 low 2024-25" in text
        and "1 zone whose survey takes in a quarter" in text
    )


def test_intervals_come_from_whole_winters() -> None:
    rng = np.random.Generator(np.random.Philox(3))
    chances = {(w, z): float(rng.uniform()) for w in WINTERS for z in ZONES}
    told = skill(nights(lambda w, z, m: chances[w, z]), surveys(), 0.25)
    for issue in told.issues:
        assert issue.brier.low < issue.brier.value < issue.brier.high
        assert issue.skill.low <= issue.skill.value <= issue.skill.high
    one = nights(lambda w, z, m: chances[w, z])
    only = PastNights(one.calls, one.zones[one.zones["winter"] == "2024-25"])
    lonely = skill(only, surveys(), 0.25)
    assert np.isnan(lonely.issues[0].brier.low), "one winter has no range"
    assert "no range" in "\n".join(skill_lines(lonely, 1))


def test_scores_agree_with_the_library() -> None:
    library = pytest.importorskip("scores", reason="scores is not installed (extra: refs)")
    import xarray as xr

    rng = np.random.Generator(np.random.Philox(4))
    chances = {(w, z): round(float(rng.uniform()), 2) for w in WINTERS for z in ZONES}
    told = skill(nights(lambda w, z, m: chances[w, z]), surveys(), 0.25)
    p = xr.DataArray([chances[w, z] for w in WINTERS for z in ZONES], dims="case")
    o = xr.DataArray([1.0 if (w, z) in HURT else 0.0 for w in WINTERS for z in ZONES], dims="case")
    assert told.issues[0].brier.value == pytest.approx(float(library.probability.brier_score(p, o)), abs=1e-9)
    assert issues_table(told)["cases"].tolist() == [12, 12, 12]


def test_without_surveys_nothing_is_claimed() -> None:
    told = skill(nights(knows), surveys().head(0), 0.25)
    assert told.issues == () and told.unsurveyed == 12
    assert "Nothing to verify" in skill_lines(told, 4)[0]
