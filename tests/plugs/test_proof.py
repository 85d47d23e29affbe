"""What n plugs prove, in words, against the reference values of their bounds; and the practice of green-up."""

import pytest

from winterrisk.plugs import Batch, age_when_green, counted_plugs, pace, proof_words, values_in_room
from winterrisk.plugs.batches import room_doubt
from winterrisk.thresholds import TABLE, Thresholds

VALUES = Thresholds.defaults().values


@pytest.mark.parametrize(("n", "most"), [(1, 95), (3, 63), (6, 39), (10, 26), (20, 14), (59, 5)])
def test_all_alive_still_leaves_room_for_this_much(n: int, most: int) -> None:
    """1 - .05^(1/n), own reference calculation: .63160 .39304 .25887 .13911 .04951."""
    words = proof_words([f"A{i}" for i in range(n)], 0, VALUES)
    assert f"up to {most}% of it can still be dead (95 %)" in words and "count as" not in words


@pytest.mark.parametrize(("n", "dead", "low", "high"), [(6, 1, 0, 64), (12, 3, 5, 57)])
def test_some_dead_gives_a_range(n: int, dead: int, low: int, high: int) -> None:
    """Two-sided Clopper-Pearson, own reference calculation: 1/6 [.00421, .64123], 3/12 [.05486, .57186]."""
    assert proof_words([""] * n, dead, VALUES).endswith(f"between {low}% and {high}% of it is dead (95 %)")


def test_plugs_of_one_spot_count_for_less() -> None:
    """Twelve as four spots of three, within-spot correlation .6: 5.4545 (own reference calculation)."""
    spots = [f"A{i // 3}" for i in range(12)]
    assert counted_plugs(spots, 0.6) == pytest.approx(5.4545, abs=1e-4)
    assert TABLE["plug_spot_correlation"].value == 0.6
    assert "cut close together, they count as 5.5" in proof_words(spots, 0, VALUES)


def test_how_often_a_quarter_dead_would_be_missed() -> None:
    """.75^n."""
    assert proof_words([""] * 3, 0, VALUES).endswith(
        "with a quarter dead this would happen about 42% of the time"
    )
    assert proof_words([""] * 6, 0, VALUES).endswith("about 1 time in 6")
    assert proof_words([""] * 20, 0, VALUES).endswith("hardly ever")


def days(batch: Batch, values: dict[str, float] | None = None) -> float:
    known = dict(VALUES) if values is None else values
    return age_when_green(0.5, "annual_bluegrass", known) / pace(batch, known)


@pytest.mark.parametrize("temperature", [20.0, 21.0, 22.0])
def test_the_default_model_gives_both_times_of_common_practice(temperature: float) -> None:
    """Common practice, no source: two to three days under bright light day and night, five to seven on a sill."""
    assert 2.0 <= days(Batch("b", room="lamp", temperature=temperature, light_hours=24.0)) <= 3.0
    assert 5.0 <= days(Batch("b", room="sill", temperature=temperature)) <= 7.0


def test_a_room_nobody_noted_gives_both_as_well() -> None:
    assert 2.0 <= days(Batch("b", room="lamp", light_hours=24.0)) <= 3.0
    assert 5.0 <= days(Batch("b")) <= 7.0


def test_the_course_room_stands_in_where_a_batch_says_nothing_and_its_doubt_stays() -> None:
    cool = values_in_room(VALUES, "sill", temperature=12.0, light_mol=2.0)
    by_warmth = (12.0 - VALUES["plug_base_temperature"]) / (20.0 - VALUES["plug_base_temperature"])
    as_bright = values_in_room(VALUES, "sill", temperature=12.0)
    assert pace(Batch("b"), as_bright) == pytest.approx(by_warmth * pace(Batch("b"), VALUES))
    assert pace(Batch("b"), cool) < pace(Batch("b"), as_bright)
    assert pace(Batch("b", temperature=20.0, light_mol=3.0), cool) == pace(
        Batch("b", temperature=20.0, light_mol=3.0), VALUES
    )
    assert room_doubt(Batch("b"), cool) == VALUES["plug_room_doubt"]
    lamp = values_in_room(VALUES, "lamp", light_hours=12.0, light_mol=6.0)
    assert pace(Batch("b", room="lamp"), lamp) == pytest.approx(
        pace(Batch("b", room="lamp", light_mol=6.0), VALUES)
    )
