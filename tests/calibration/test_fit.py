"""Fits on invented courses whose truth is the product's own kill formulae with a known value."""

import numpy as np
import pytest
from courses import ICE, add_plug, add_survey, book, seen, truth, winter

from winterrisk.calibration import CalibrationError, fit, fit_text
from winterrisk.calibration.held_out import HeldOut
from winterrisk.calibration.refusals import refusals
from winterrisk.thresholds import TABLE, Thresholds

QUICK = {"particles": 500, "moves": 6}
ZONES = ("1 low", "2 low", "3 shade", "4 open", "5 ridge", "6 open")
DEFAULT = TABLE[ICE].value


def iced(name: str, doses: tuple[float, ...], **options):
    return winter(name, dict(zip(ZONES, doses, strict=False)), **options)


def fitted(winters, tables, key="test", rows=(ICE,), **options):
    return fit(
        Thresholds.defaults(),
        winters,
        tables.plugs,
        tables.surveys,
        ("invented", key),
        **tables.fit_arguments(),
        rows=rows,
        **{**QUICK, **options},
    )


@pytest.mark.parametrize("true", [0.8, 2.0])
def test_the_true_ice_multiplier_is_found(true: float) -> None:
    doses = (0.5, 0.8, 1.1, 1.5, 2.0, 2.6)
    winters = [iced("2022-23", doses), iced("2023-24", doses[::-1])]
    found = fitted(winters, seen(winters, truth(ice=true), f"true {true}"), str(true))
    low, middle, high = found.learned[0].posterior
    assert low < true < high
    # half the prior's spread or less: what two winters of 8 plugs a zone and a survey are to do
    assert found.learned[0].width < 0.5
    assert abs(np.log(middle / true)) < 0.15
    assert abs(np.log(DEFAULT / true)) > 0.4, "the default itself would not pass"
    assert found.refusals == ()
    assert sum(w.fitted - w.prior for w in found.held_out) > 0
    assert len(found.draws[ICE]) == 1000
    assert np.median(found.draws[ICE]) == pytest.approx(found.values[ICE])


def test_intervals_cover_the_truth_as_often_as_they_say() -> None:
    rng = np.random.default_rng(11)
    row = TABLE[ICE]
    inside, sizes = 0, []
    n = 60
    for i in range(n):
        true = float(row.quantile(np.array([rng.random()]))[0])
        past = iced("2023-24", tuple(rng.uniform(0.5, 2.6, 4)), members=3)
        tables = seen([past], truth(ice=true), f"cover {i}", plugs=3)
        found = fitted([past], tables, f"cover {i}", particles=300, moves=4, beside=())
        low, _, high = found.learned[0].posterior
        inside += low < true < high
        sizes.append(found.learned[0].width)
    # 90 % of 60 is 54; three binomial standard deviations are 7
    assert 47 <= inside <= 60
    assert np.mean(sizes) < 0.8, "intervals as wide as the prior would cover too"


def plugs_at(dose: float, *, dead: bool, number: int = 12):
    past = iced("2023-24", (dose, dose))
    plugs, looks = [], []
    for i in range(number):
        add_plug(plugs, looks, ZONES[i % 2], past.days[-1], dead=dead)
    return [past], book(plugs, looks)


def test_live_plugs_after_long_ice_raise_the_multiplier() -> None:
    found = fitted(*plugs_at(2.0, dead=False))
    assert found.values[ICE] > DEFAULT * 1.2
    assert found.learned[0].moved > 0.5


def test_dead_plugs_after_short_ice_lower_the_multiplier() -> None:
    found = fitted(*plugs_at(0.85, dead=True))
    assert found.values[ICE] < DEFAULT / 1.2
    assert found.learned[0].moved < -0.5


def test_plugs_all_alive_or_all_dead_are_one_sided() -> None:
    alive, dead = fitted(*plugs_at(2.0, dead=False)), fitted(*plugs_at(0.85, dead=True))
    assert any("were alive" in reason for reason in alive.refusals)
    assert any("were dead" in reason for reason in dead.refusals)


def test_three_plugs_are_too_few() -> None:
    found = fitted(*plugs_at(1.3, dead=True, number=3))
    assert any("too little evidence - 3 plugs and 0 surveys" in reason for reason in found.refusals)
    assert "Should NOT be adopted" in fit_text(found)


def test_winters_without_ice_say_nothing_of_it() -> None:
    winters = [iced("2022-23", (0.01, 0.0, 0.02)), iced("2023-24", (0.0, 0.01, 0.0))]
    found = fitted(winters, seen(winters, truth(), "no ice"))
    assert found.plugs == 48
    assert found.learned[0].plugs == 0
    assert abs(found.learned[0].moved) < 0.15
    assert found.learned[0].width == pytest.approx(1.0, abs=0.1)
    assert any("0 plugs and 0 surveys come from turf" in reason for reason in found.refusals)


def test_a_course_without_any_evidence_keeps_the_prior() -> None:
    found = fitted([iced("2023-24", (1.0,))], book([], []))
    assert found.plugs == found.surveys == 0
    assert abs(found.learned[0].moved) < 0.15
    assert found.refusals


def test_winters_that_contradict_each_other_are_refused() -> None:
    winters = [iced("2022-23", (0.9, 1.0, 0.9)), iced("2023-24", (1.9, 2.0, 1.9))]
    plugs, looks, surveys = [], [], []
    for past, dead in zip(winters, (True, False), strict=True):
        for zone in ZONES[:3]:
            for _ in range(4):
                add_plug(plugs, looks, zone, past.days[-1], dead=dead)
            low, high = (0.5, 0.7) if dead else (0.0, 0.005)
            add_survey(surveys, past.name, zone, past.days[-1], low, high)
    found = fitted(winters, book(plugs, looks, surveys))
    assert any("contradict each other" in reason for reason in found.refusals)


WET = 4.0
"""Wet margin [K] at which the wet shift alone would kill most."""


def test_long_ice_only_ever_with_wet_freezes_cannot_be_separated() -> None:
    """The truth is ice alone; soaked freezes came with it each time, so nothing on record tells them apart."""
    ice = {"4 low": 1.6, "4 dam": 2.2, "6 low": 1.1}
    both = [winter(name, ice, wet=dict.fromkeys(ice, WET)) for name in ("2022-23", "2023-24")]
    found = fitted(both, seen(both, truth(ice=1.2), "both"))
    assert any("cannot separate lack of air under ice from soaked crowns" in r for r in found.refusals)
    apart = [winter("2022-23", ice, wet=dict.fromkeys(ice, WET)), winter("2023-24", ice)]
    found = fitted(apart, seen(apart, truth(ice=1.2), "both"))
    assert not any("cannot separate" in reason for reason in found.refusals)


def test_held_out_winters_are_refused_only_when_the_fit_foretells_worse() -> None:
    assert refusals((), (HeldOut("2022-23", -5.0, -6.0), HeldOut("2023-24", -4.0, -3.5))) == ()
    assert len(refusals((), (HeldOut("2022-23", -5.0, -4.0), HeldOut("2023-24", -4.0, -3.5)))) == 1


def test_several_rows_are_learned_together() -> None:
    winters = [iced("2022-23", (0.6, 1.2, 1.8, 2.4)), iced("2023-24", (1.0, 1.4, 0.8, 2.0))]
    rows = (ICE, "ice_steepness")
    tables = seen(winters, truth(ice=0.9), "together")
    found = fitted(winters, tables, rows=rows)
    assert set(found.draws) == set(rows)
    assert found.beside == (
        "background", "plug_correlation", "cold_offset", "wet_shift.annual_bluegrass", "ice_multiplier.creeping_bent",
    )  # fmt: skip
    assert {row.key for row in found.learned} == set(rows)


def test_what_the_other_grass_stands_is_not_put_down_to_the_one_learned() -> None:
    """Bent that stands far more ice than the table says: a mixed green with it must not raise the bluegrass."""
    doses = (0.9, 1.4, 1.8, 2.2, 2.6, 3.0)
    true = 1.2
    off = {"held": [], "sampled": []}
    for number in range(3):
        winters = [iced("2022-23", doses), iced("2023-24", doses[::-1])]
        turf = truth(ice=true, **{"ice_multiplier.creeping_bent": 3.5})
        tables = seen(winters, turf, f"other grass {number}")
        quick = {"particles": 300, "moves": 4}
        held = fitted(
            winters, tables, f"{number}", beside=("ice_steepness", "background", "plug_correlation"), **quick
        )
        off["held"].append(np.log(held.values[ICE] / true))
        off["sampled"].append(np.log(fitted(winters, tables, f"{number}", **quick).values[ICE] / true))
    # the prior of its logarithm has a standard deviation of 0.35
    assert abs(np.mean(off["sampled"])) < 0.5 * abs(np.mean(off["held"])), off
    assert abs(np.mean(off["sampled"])) < 0.12, off


def test_doubt_of_other_rows_widens_the_range() -> None:
    winters = [iced("2022-23", (0.8, 1.2, 1.6)), iced("2023-24", (1.0, 1.4, 1.8))]
    tables = seen(winters, truth(ice=1.2), "beside", plugs=4)
    alone = fitted(winters, tables, beside=())
    beside = fitted(winters, tables)
    assert beside.learned[0].width > alone.learned[0].width


def test_the_same_key_gives_the_same_fit_and_the_evidence_used_is_listed() -> None:
    past = iced("2023-24", (0.8, 1.4))
    tables = seen([past], truth(ice=1.0), "same", plugs=3)
    first, second = fitted([past], tables), fitted([past], tables)
    assert np.array_equal(first.draws[ICE], second.draws[ICE])
    assert first.used == {f"P{i}" for i in range(1, 7)} | {"survey 1", "survey 2"}


def test_the_prior_is_the_tables_whatever_stands_now() -> None:
    past = iced("2023-24", (0.8, 1.4))
    tables = seen([past], truth(ice=1.0), "same", plugs=3)
    standing = Thresholds.defaults().with_value(ICE, 3.0)
    again = fit(
        standing,
        [past],
        tables.plugs,
        tables.surveys,
        ("invented", "test"),
        **tables.fit_arguments(),
        **QUICK,
    )
    assert np.array_equal(again.draws[ICE], fitted([past], tables).draws[ICE])
    assert again.learned[0].before == 3.0


def test_a_row_that_is_not_learned_is_refused_by_name() -> None:
    past = iced("2023-24", (1.0,))
    with pytest.raises(CalibrationError, match="did you mean ice_steepness"):
        fitted([past], book([], []), rows=("ice_stepness",))
    with pytest.raises(CalibrationError, match="mould_steepness"):
        fitted([past], book([], []), rows=("mould_steepness",))
