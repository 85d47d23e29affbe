"""The likelihood of looks: against the textbook sums, and what must not count."""

from collections.abc import Callable

import numpy as np
import pytest

from winterrisk.plugs import Batch, Look, Plug, dead_chance, green_by, thermal_age
from winterrisk.plugs.batches import plug_looks
from winterrisk.plugs.likelihood import looks_log_likelihood
from winterrisk.plugs.readings import Readings
from winterrisk.thresholds import Thresholds

VALUES = dict(Thresholds.defaults().values)
EXACT = {**VALUES, "plug_slip": 0.0}
Build = Callable[..., list[Look]]


def read(days: list[float], green: list[bool], strongest: float = np.nan) -> Readings:
    ages = np.array([thermal_age(20.0, d) for d in days])
    return Readings(np.array(days), ages, np.array(green), strongest)


def test_never_green_is_the_textbook_mixture() -> None:
    """P(dead | not called green) = q (1-fp) / [q (1-fp) + (1-q)(S + F fn)], own reference calculation."""
    reading = read([3, 7, 12], [False] * 3)
    alive, dead = looks_log_likelihood(reading, "annual_bluegrass", "yes", EXACT)
    brown = 1 - float(green_by(reading.age[-1], "annual_bluegrass", EXACT))
    q = 0.2
    found = q * np.exp(dead) / (q * np.exp(dead) + (1 - q) * np.exp(alive))
    assert found == pytest.approx(float(dead_chance(q, brown, 0.03, 0.05)), abs=1e-9)


def test_first_green_between_two_looks_is_the_step_of_the_curve() -> None:
    reading = read([3, 5, 7], [False, False, True])
    alive, _ = looks_log_likelihood(reading, "annual_bluegrass", "yes", EXACT)
    low, high = green_by(reading.age[1:], "annual_bluegrass", EXACT)
    assert np.exp(alive) == pytest.approx(0.95 * (high - low), rel=1e-9)


def test_all_histories_of_looks_add_up_to_one() -> None:
    """Whatever is seen at three looks, the chances of all eight histories add to 1, alive or dead."""
    histories = [[bool(i >> k & 1) for k in range(3)] for i in range(8)]
    both = np.exp(
        [looks_log_likelihood(read([3, 5, 9], h), "creeping_bent", "yes", VALUES) for h in histories]
    )
    assert both.sum(axis=0) == pytest.approx([1.0, 1.0])


def test_one_misread_look_does_not_decide() -> None:
    """Green written down once among five brown looks: still far from alive."""
    once = read([3, 5, 7, 10, 14], [False, True, False, False, False])
    twice = read([3, 5, 7, 10, 14], [False, True, True, True, True])
    ratio = [np.subtract(*looks_log_likelihood(r, "annual_bluegrass", "yes", VALUES)) for r in (once, twice)]
    assert ratio[0] < np.log(2)
    assert ratio[1] > np.log(20)


def test_more_brown_looks_at_one_plug_do_not_wear_a_misread_away() -> None:
    """A snapped or lost plug stays brown at every look: twenty looks say no more than the last."""
    few = looks_log_likelihood(read([20], [False]), "annual_bluegrass", "yes", EXACT)
    many = looks_log_likelihood(read(list(range(1, 21)), [False] * 20), "annual_bluegrass", "yes", EXACT)
    assert np.subtract(*few) == pytest.approx(np.subtract(*many), abs=1e-9)


def test_strong_growth_says_more_than_a_tinge() -> None:
    strong, faint = (
        np.subtract(*looks_log_likelihood(read([7], [True], g), "annual_bluegrass", "yes", VALUES))
        for g in (0.6, 0.08)
    )
    assert strong > faint


@pytest.mark.parametrize(("species", "counts"), [("creeping_bent", False), ("annual_bluegrass", True)])
def test_a_plug_cut_above_the_crowns_does_not_count_against_bent(species: str, counts: bool) -> None:
    """One case: such plugs grew only annual bluegrass."""
    alive, dead = looks_log_likelihood(read([7, 14], [False, False]), species, "no", EXACT)
    assert (dead - alive > 1.0) == counts
    if not counts:
        assert alive >= dead


def test_green_before_day_four_without_new_growth_says_nothing(
    plug: Callable[..., Plug], looks: Build, batch: Batch
) -> None:
    seen = looks("P1", {2: np.nan}, colours=["green"])
    entry = plug_looks(plug(), seen, batch, VALUES)[0]
    assert len(entry.reading.green) == 0 and (entry.log_alive, entry.log_dead) == (0.0, 0.0)
    later = plug_looks(plug(), looks("P1", {6: np.nan}, colours=["green"]), batch, VALUES)[0]
    assert later.reading.green.tolist() == [True]


def test_grasses_of_one_plug_are_read_apart(plug: Callable[..., Plug], looks: Build, batch: Batch) -> None:
    seen = looks("P1", {7: 0.5, 10: 0.8}, "creeping_bent") + looks(
        "P1", {7.1: 0.0, 14: 0.0}, "annual_bluegrass"
    )
    bent, bluegrass = plug_looks(plug(), seen, batch, VALUES)
    assert bent.log_alive - bent.log_dead > np.log(10)
    assert bluegrass.log_dead - bluegrass.log_alive > np.log(3)


def test_a_brown_whole_plug_is_brown_in_each_grass(
    plug: Callable[..., Plug], looks: Build, batch: Batch
) -> None:
    seen = looks("P1", {5: 0.0}) + looks("P1", {7: 0.0}, "creeping_bent")
    (bent,) = plug_looks(plug(), seen, batch, VALUES)
    assert bent.reading.green.tolist() == [False, False]


def test_a_green_whole_plug_tells_nothing_of_one_grass(
    plug: Callable[..., Plug], looks: Build, batch: Batch
) -> None:
    seen = looks("P1", {7: 0.6}) + looks("P1", {10: 0.0}, "creeping_bent")
    (bent,) = plug_looks(plug(), seen, batch, VALUES)
    assert bent.reading.green.tolist() == [False]
