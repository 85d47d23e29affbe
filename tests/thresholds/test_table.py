"""The table is whole: every number has a source, draws fill the ranges and are keyed."""

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import kstest, norm

from winterrisk.calibration.write_pair import finish_broken_switch
from winterrisk.thresholds import LEARNED, SPECIES, TABLE, Row, Thresholds, ThresholdsError

NORMAL = Row("x", "x", "degC", 2.0, -20.0, 20.0, "normal", "test", "judged", "chance", sd=3.0)


def test_every_row_has_a_source_and_a_value_inside_its_range() -> None:
    assert len(TABLE) > 40
    for key, row in TABLE.items():
        assert key == row.key and row.source.strip() and row.label.strip() and row.unit.strip()
        assert row.low <= row.value <= row.high
        assert not row.species or row.species in SPECIES


def test_learned_rows_act_on_the_chance_only() -> None:
    assert len(LEARNED) >= 5
    assert {TABLE[key].acts for key in LEARNED} == {"chance"}
    for name in ("ice_steepness", "cold_offset", "cold_spread", "background", "plug_correlation"):
        assert name in LEARNED
    assert "ice_multiplier.annual_bluegrass" in LEARNED


def test_a_row_without_a_source_or_outside_its_range_cannot_be_made() -> None:
    with pytest.raises(ValueError, match="source"):
        dataclasses.replace(NORMAL, source="")
    with pytest.raises(ValueError, match="outside"):
        dataclasses.replace(NORMAL, value=30.0)
    with pytest.raises(ValueError, match="needs sd"):
        dataclasses.replace(NORMAL, sd=None)


def test_normal_quantiles_are_those_of_the_normal_distribution() -> None:
    u = np.linspace(0.05, 0.95, 19)
    assert np.allclose(NORMAL.quantile(u), norm(2, 3).ppf(u), atol=1e-6)


@pytest.mark.parametrize("shape", ["lognormal", "logit"])
def test_scaled_shapes_are_normal_on_their_scale(shape: str) -> None:
    row = Row("y", "y", "1", 0.2, 0.001, 0.999, shape, "test", "judged", "chance", sd=0.4)  # type: ignore[arg-type]
    drawn = row.to_scale(row.quantile((np.arange(2000) + 0.5) / 2000))
    assert kstest(drawn, norm(row.to_scale(0.2), 0.4).cdf).pvalue > 0.5
    assert np.allclose(row.from_scale(row.to_scale(0.3)), 0.3)


def test_draws_are_keyed_and_fill_every_stratum() -> None:
    thresholds = Thresholds.defaults()
    for acts in ("column", "dose", "chance"):
        draws = thresholds.draw(8, ("course", "2024-25"), acts)  # type: ignore[arg-type]
        assert {TABLE[key].acts for key in draws} == {acts}
        again = thresholds.draw(8, ("course", "2024-25"), acts)  # type: ignore[arg-type]
        other = thresholds.draw(8, ("course", "2025-26"), acts)  # type: ignore[arg-type]
        for key, values in draws.items():
            row = TABLE[key]
            assert np.array_equal(values, again[key]) and np.all((values >= row.low) & (values <= row.high))
            if row.shape == "fixed":
                assert np.all(values == row.value)
                continue
            assert not np.array_equal(values, other[key])
            edges = row.quantile(np.array([i / 8 for i in range(1, 8)]))
            assert sorted(np.searchsorted(edges, values)) == list(range(8))


def test_a_changed_value_moves_its_draws_with_it() -> None:
    key = "ice_multiplier.annual_bluegrass"
    moved = Thresholds.defaults().with_value(key, TABLE[key].value * 1.2)
    before = Thresholds.defaults().draw(50, ("a",), "chance")[key]
    assert np.allclose(moved.draw(50, ("a",), "chance")[key], before * 1.2)


def test_unknown_and_impossible_values_are_refused_in_words() -> None:
    with pytest.raises(ThresholdsError, match="did you mean ice_steepness"):
        Thresholds.defaults().with_value("ice_stepness", 8)
    with pytest.raises(ThresholdsError, match="choose a value inside"):
        Thresholds.defaults().with_value("ice_steepness", -1)


def test_joint_draws_of_a_fit_replace_the_prior_together() -> None:
    base = Thresholds.defaults()
    joint = {"ice_steepness": np.arange(7.0, 8.0, 0.01), "cold_offset": np.arange(0.0, 1.0, 0.01)}
    fitted = dataclasses.replace(base, joint=joint)
    draws = fitted.draw(40, ("a",), "chance")
    assert np.allclose(draws["ice_steepness"] - 7.0, draws["cold_offset"])
    assert len(np.unique(draws["cold_offset"])) == 40


def test_a_folder_without_adopted_thresholds_has_the_defaults(tmp_path: Path) -> None:
    assert Thresholds.read(tmp_path).version == "defaults"


def test_a_damaged_thresholds_file_is_refused_with_all_its_faults(tmp_path: Path) -> None:
    (tmp_path / "thresholds.toml").write_text(
        'version = "x"\ndraws_sha256 = "00"\n[values]\nice_stepness = 8\ncold_spread = -4\n', encoding="utf-8"
    )
    with pytest.raises(ThresholdsError) as refused:
        Thresholds.read(tmp_path)
    text = str(refused.value)
    assert len(refused.value.faults) == 3
    assert "nearest is ice_steepness" in text and "cold_spread" in text and "do not belong" in text


ELSEWHERE = ["../../mine", "..", ".", "/etc", "a/b", "a\\b", "", "x" * 200]


@pytest.mark.parametrize("name", ELSEWHERE)
def test_a_version_is_no_way_out_of_the_course_folder(tmp_path: Path, name: str) -> None:
    """Names of versions become folders that are written, replaced and read: they lead nowhere else."""
    mine, course = tmp_path / "mine", tmp_path / "courses" / "one"
    course.mkdir(parents=True)
    mine.mkdir()
    (mine / "kept.txt").write_text("mine", encoding="utf-8")
    changed = Thresholds.defaults().with_value("ice_multiplier.annual_bluegrass", 1.5)
    (course / "thresholds.toml").write_text(
        dataclasses.replace(changed, version=name).to_toml(), encoding="utf-8"
    )
    with pytest.raises(ThresholdsError, match="letters, digits"):
        Thresholds.read(course)
    (course / "thresholds.toml").write_text(
        dataclasses.replace(changed, version="one").to_toml(), encoding="utf-8"
    )
    assert Thresholds.read(course).version == "one"
    (course / "thresholds_versions").mkdir()
    (course / "thresholds_versions" / "changing.txt").write_text(f"{name}\n", encoding="utf-8")
    with pytest.raises(ThresholdsError, match="letters, digits"):
        Thresholds.read(course)
    with pytest.raises(ThresholdsError, match="letters, digits"):
        finish_broken_switch(course)
    assert (mine / "kept.txt").read_text(encoding="utf-8") == "mine"
