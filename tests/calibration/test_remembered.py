"""Remembered winters speak as spring surveys one class wider, where the book has none of that zone and winter."""

from pathlib import Path

import numpy as np
import pytest
from courses import ICE, book, winter

from winterrisk.backcast import read_work
from winterrisk.calibration import fit, fit_text, wider_class, with_remembered
from winterrisk.course import read_course
from winterrisk.thresholds import Thresholds

COURSE = """# Invented course.
[place]
name = "Remembered Moor"
latitude = 46.6
longitude = -95.0
elevation = 380
timezone = "America/Winnipeg"

[[areas]]
name = "4"
kind = "green"
size = 400
[[areas.zones]]
name = "low"
template = "low spot"
[[areas.zones]]
name = "ridge"
template = "ridge"

[station]
file = "station.csv"
name = "yard (invented)"
latitude = 46.6
longitude = -95.0
elevation = 378

[turf]
shares = {annual_bluegrass = 0.7, creeping_bent = 0.3}
"""
INJURY = '\n[[past_injury]]\nwinter = "{}"\narea = "4"\nzone = "{}"\ndead = {}\n'


def course(folder: Path, *injuries: tuple[str, str, float]):
    (folder / "course.toml").write_text(
        COURSE + "".join(INJURY.format(*i) for i in injuries), encoding="utf-8"
    )
    return read_course(folder)


# classes of the contract for spring surveys: 0, .5, 5, 10, 20, 30, 50, 70, 90, 100 %; each with its neighbours
@pytest.mark.parametrize(
    ("dead", "low", "high"),
    [(0.0, 0.0, 0.05), (0.03, 0.0, 0.10), (0.40, 0.20, 0.70), (0.5, 0.30, 0.90), (0.8, 0.5, 1.0), (1.0, 0.7, 1.0)],
)  # fmt: skip
def test_a_remembered_share_is_its_class_and_the_two_beside(dead: float, low: float, high: float) -> None:
    assert wider_class(dead) == (low, high)


@pytest.mark.parametrize("dead", [-0.1, 1.2, np.nan])
def test_no_share_outside_naught_to_one(dead: float) -> None:
    with pytest.raises(ValueError, match="expected 0 to 1"):
        wider_class(dead)


def test_a_survey_in_the_book_stands_before_memory(tmp_path: Path) -> None:
    hurt = course(tmp_path, ("2022-23", "low", 0.8), ("2022-23", "ridge", 0.0), ("2023-24", "low", 0.4))
    surveys = book([], [], [
        {"id": 1, "winter": "2022-23", "date": np.datetime64("2023-04-20"), "zone": "4 low", "species": "all",
         "dead_low": 0.3, "dead_high": 0.5},
    ]).surveys  # fmt: skip
    told = with_remembered(surveys, hurt)
    assert list(told["id"]) == [1, "remembered 2022-23 4 ridge", "remembered 2023-24 4 low"]
    assert list(told["dead_low"]) == [0.3, 0.0, 0.2] and list(told["dead_high"]) == [0.5, 0.05, 0.7]
    assert with_remembered(surveys, course(tmp_path)) is surveys


def test_memory_moves_a_fit_less_than_a_survey_does_and_is_named(tmp_path: Path) -> None:
    past = [winter("2022-23", {"4 low": 1.0, "4 ridge": 0.9})]
    hurt = course(tmp_path, ("2022-23", "low", 0.95), ("2022-23", "ridge", 0.95))
    remembered = with_remembered(book([], []).surveys, hurt)
    surveyed = remembered.assign(id=[1, 2], dead_low=0.9, dead_high=1.0)
    found = [
        fit(
            Thresholds.defaults(), past, book([], []).plugs, table, ("memory",),
            looks=book([], []).looks, batches=book([], []).batches, particles=600, moves=6,
        )
        for table in (remembered, surveyed)
    ]  # fmt: skip
    assert found[0].learned[0].moved < -0.3, "turf dead after short ice stands less than the table says"
    assert found[0].remembered == 2 and found[1].remembered == 0
    assert found[0].used == {"survey remembered 2022-23 4 low", "survey remembered 2022-23 4 ridge"}
    assert "2 of the surveys are remembered winters" in fit_text(found[0])
    assert "remembered" not in fit_text(found[1])
    assert found[0].values[ICE] > found[1].values[ICE]


def test_the_sample_remembers_winters_before_its_record_and_says_they_are_left_out(sample: Path) -> None:
    work = read_work(sample)
    told = with_remembered(work.record.surveys, work.course)
    assert {"remembered 2013-14 4 low", "remembered 2018-19 7 low"} <= set(told["id"])
    nothing = fit(
        work.thresholds, [], work.record.plugs, told, ("sample",),
        looks=work.record.looks, batches=work.record.batches, particles=50, moves=1,
    )  # fmt: skip
    assert any("2013-14, a winter without a replay" in line for line in nothing.left_out)
