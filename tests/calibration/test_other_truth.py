"""Courses whose turf does not die by our formula: what a fit must still find, and when it must say that it cannot."""

from dataclasses import replace

import numpy as np
from courses import ICE, winter
from other_truth import OtherTurf, found
from test_fit import fitted

from winterrisk.thresholds import TABLE

ZONES = [f"{green} low" for green in range(1, 7)]
WINTERS = ("2022-23", "2023-24")
BENT = TABLE["ice_multiplier.creeping_bent"].value


def course(number: int):
    """Half-kill dose of the bluegrass, drawn from the inner 80 % of the prior, and two winters of six zones."""
    rng = np.random.default_rng(100 + number)
    half = float(TABLE[ICE].quantile(np.array([rng.uniform(0.1, 0.9)]))[0])
    winters = [
        winter(name, {z: float(rng.uniform(0.2, 2.6)) for z in ZONES}, members=4, spread=0.2)
        for name in WINTERS
    ]
    return half, winters


def test_two_winters_of_eight_plugs_and_a_survey_about_halve_the_range() -> None:
    """Bars of the contract: half the prior's width or so; 90 % ranges hold the truth (one of 8 may slip)."""
    widths, inside, off = [], 0, []
    for number in range(8):
        half, winters = course(number)
        learned = fitted(winters, found(winters, OtherTurf(half, bent=BENT / half), f"{number}")).learned[0]
        low, middle, high = learned.posterior
        widths.append(learned.width)
        inside += low < half < high
        off.append(float(np.log(middle / half)))
    assert 0.35 < np.mean(widths) < 0.6, widths
    assert inside >= 7, off
    # the prior's own spread is 0.35
    assert abs(np.mean(off)) < 0.1 and np.std(off) < 0.2, off


def test_three_plugs_leave_the_default_and_are_refused() -> None:
    half, winters = course(3)
    one = winters[:1]
    told = found(one, OtherTurf(half), "three", plugs=8, surveys=False)
    fit = fitted(one, replace(told, plugs=told.plugs.iloc[:3]))
    assert fit.plugs == 3 and fit.learned[0].width > 0.8
    assert any("too little evidence" in reason for reason in fit.refusals)


def test_wet_freezes_only_with_long_ice_cannot_be_separated() -> None:
    """The truth is lack of air alone, by another law; soaked crowns froze hard wherever the ice lay long."""
    doses = dict(zip(ZONES, (0.3, 0.6, 1.5, 1.9, 2.3, 2.6), strict=True))
    together = [
        winter(name, doses, wet={z: 4.0 if d > 1.0 else -9.0 for z, d in doses.items()}) for name in WINTERS
    ]
    seen = found(together, OtherTurf(1.3, bent=BENT / 1.3), "together")
    assert any("cannot separate" in reason for reason in fitted(together, seen).refusals)
    dry = [winter(name, doses) for name in WINTERS]
    assert not any("cannot separate" in reason for reason in fitted(dry, seen).refusals)
