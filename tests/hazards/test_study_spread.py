"""How far studies disagree, and that draws carry it: more on hardened turf, some on every judged dose."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from turf_winters import turf, winter

from winterrisk import hazards
from winterrisk.hazards.cold import FULLY_HARDENED, certainty, felt_margin, least_margin
from winterrisk.thresholds import TABLE, Thresholds

LEAST = TABLE["offset_least"].value
GRASSES = ("annual_bluegrass", "creeping_bent", "perennial_ryegrass", "fine_fescue")
DRAWS = Thresholds.defaults().draw(200, ("spread",), "chance")


def test_the_offset_counts_fully_in_midwinter_and_a_third_in_growth() -> None:
    """Turf in growth is known within 1 K (Tompkins et al. 1995, -3 to -5), hardened turf within some 4 K."""
    assert certainty(0.0, LEAST) == pytest.approx(1.0 / 3.0)
    assert certainty(FULLY_HARDENED, LEAST) == certainty(1.0, LEAST) == 1.0
    assert LEAST < certainty(0.5, LEAST) < 0.8


@given(st.floats(-40, 20), st.floats(0, 20), st.floats(LEAST, 1.0))
def test_a_larger_margin_is_never_felt_as_smaller(margin: float, more: float, share: float) -> None:
    assert felt_margin(margin + more, share, -24.0) >= felt_margin(margin, share, -24.0)


@given(st.floats(0, 1), st.floats(0, 1), st.floats(-45, 15), st.sampled_from(GRASSES))
def test_hardier_turf_never_feels_the_same_night_more(
    one: float, other: float, night: float, species: str
) -> None:
    soft, limit = TABLE["soft_kill"].value, TABLE[f"kill_limit.{species}"].value
    floor = least_margin(soft - limit, LEAST)

    def felt(hardened: float) -> float:
        kill = soft + hardened * (limit - soft)
        return float(felt_margin(kill - night, certainty(hardened, LEAST), floor))

    softer, harder = sorted((one, other))
    assert felt(harder) <= felt(softer) + 1e-9


def test_a_frost_far_above_the_kill_temperature_is_no_five_per_cent() -> None:
    """Half-hardened bluegrass, one night 8 K above its kill temperature, mean over the offset."""
    harm = hazards.run(winter([0.0], 5.8), turf("annual_bluegrass"), {}, start_kill=-13.8)
    dose = harm["dose_cold"].to_numpy()[0, -1, 0, :, None]
    assert float(dose.max()) < -8.0
    assert float(hazards.chance("cold", dose, DRAWS, "annual_bluegrass").mean()) < 0.01


@pytest.mark.parametrize(
    ("dose", "row", "days"),
    [
        ("drying", "drying_pace.creeping_bent", {"drying": 1.0}),
        ("snow_mould_grey", "mould_pace", {"snow_depth_mean": 0.3}),
        ("snow_mould_pink", "mould_pace", {"snow_depth_mean": 0.3, "hours_snow_on_unfrozen": 24.0}),
    ],
)
def test_a_judged_dose_has_a_range_among_members(dose: str, row: str, days: dict[str, float]) -> None:
    pace = np.array([TABLE[row].low, 1.0, TABLE[row].high])
    assert pace[0] < 1.0 < pace[2]
    harm = hazards.run(winter(np.full(30, -0.5), members=3, **days), turf("creeping_bent"), {row: pace})
    assert harm[f"dose_{dose}"].to_numpy()[0, -1, 0] == pytest.approx(30.0 * pace, rel=1e-5)
