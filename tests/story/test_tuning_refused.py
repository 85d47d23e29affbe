"""Evidence that cannot be so: tuning names file, line and next move, adopts nothing and writes nothing."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from small_courses import small_course

from winterrisk.backcast import read_work
from winterrisk.thresholds import Thresholds

Command = Callable[..., tuple[int, str, str]]
SURVEYS = "winter,date,area,zone,species,dead_low,dead_high,cause,who,known\n"
PLUGS = "id,area,zone,spot,cut,depth_mm,crowns,control,ice_mm,batch,label,who,known\n"


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory, sample: Path) -> Path:
    return small_course(tmp_path_factory.mktemp("small") / "course", sample)


@pytest.fixture
def course(small: Path, tmp_path: Path) -> Path:
    copy = Path(shutil.copytree(small, tmp_path / "course"))
    (copy / "book").mkdir()
    return copy


def untouched(course: Path) -> bool:
    """No book, no proposal, no version."""
    made = ("book.sqlite", "thresholds.toml", "thresholds_versions", "reports")
    return (
        not any((course / name).exists() for name in made) and Thresholds.read(course).version == "defaults"
    )


@pytest.mark.parametrize(
    ("file", "text", "said"),
    [
        ("surveys", SURVEYS + "2023-24,2024-01-15,1,low,all,0.3,1.2,ice,Ann,2024-01-15\n", ("1.2", "surveys.csv", "2")),
        ("surveys", SURVEYS + "2023-24,2024-01-15,1,lowe,all,0.3,0.5,ice,Ann,2024-01-15\n", ("lowe", "1 low")),
        ("surveys", SURVEYS + "2023-24,2024-01-15,1,low,all,0.5,0.3,ice,Ann,2024-01-15\n", ("0.5", "0.3")),
        ("plugs", PLUGS + "P1,1,pond,x,2024-01-10T15:00,80,yes,,,,,Ann,2024-01-10\n", ("pond", "1 ")),
    ],
    ids=["over 100 %", "unknown zone", "upside down", "plug of an unknown zone"],
)  # fmt: skip
def test_a_row_that_cannot_be_is_refused_before_anything_is_fitted(
    course: Path, winterrisk_command: Command, file: str, text: str, said: tuple[str, ...]
) -> None:
    (course / "book" / f"{file}.csv").write_text(text, encoding="utf-8")
    code, out, err = winterrisk_command("tune", course, "fit")
    assert (code, out) == (2, ""), err
    assert all(word in err for word in said) and ", expected " in err and "Traceback" not in err
    assert untouched(course)


def test_a_survey_over_a_hundred_percent_is_refused_as_it_is_typed(
    course: Path, winterrisk_command: Command
) -> None:
    code, out, err = winterrisk_command("survey", course, "1 low dead 80-120 ice", "--on", "2024-01-15")
    assert (code, out) == (2, "") and "120" in err and ", expected " in err
    assert read_work(course).record.surveys.empty


def test_a_value_below_zero_is_typed_as_it_is(course: Path, winterrisk_command: Command) -> None:
    code, _, err = winterrisk_command("tune", course, "set", "cold_offset", "-1.5")
    assert code == 2 and "no reason" in err and "No such option" not in err
    code, _, err = winterrisk_command("tune", course, "set", "cold_offset", "--wy", "x")
    assert code == 2 and "--wy" in err
    code, _, err = winterrisk_command("tune", course, "set", "cold_offset", "low", "--why", "x")
    assert code == 2 and "expected a number" in err
    assert untouched(course)


def test_winters_without_weather_are_left_out_by_name_and_teach_nothing(
    course: Path, winterrisk_command: Command
) -> None:
    rows = "2010-11,2011-05-01,1,low,all,0.7,0.9,ice,Ann,2011-05-02\n"
    (course / "book" / "surveys.csv").write_text(SURVEYS + rows, encoding="utf-8")
    code, out, err = winterrisk_command("tune", course, "fit")
    assert code == 0, err
    assert "1 left out: surveys of 2010-11, a winter without a replay" in out
    assert "too little evidence - 0 plugs and 0 surveys" in out and "Should NOT be adopted" in out
    code, out, err = winterrisk_command("tune", course, "adopt", "--who", "Ann", "--why", "try")
    assert (code, out) == (2, "") and "too little evidence" in err and "--override" in err
    assert not (course / "thresholds.toml").exists() and Thresholds.read(course).version == "defaults"
    code, out, err = winterrisk_command("tune", course, "preview", "--winter", "2010-11")
    assert code == 2 and "no weather for 2010-11" in err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("set", "ice_stepness", "6", "--why", "x"), "ice_steepness"),
        (("set", "ice_steepness", "-3", "--why", "x"), "2 to 32"),
        (("set", "survey_precision", "nan", "--why", "x"), "2 to 50"),
        (("compare", "--with", "2020-01-01-1"), "2020-01-01-1"),
    ],
)
def test_names_and_values_that_cannot_be_are_refused(
    course: Path, winterrisk_command: Command, words: tuple[str, ...], said: str
) -> None:
    code, _, err = winterrisk_command("tune", course, *words)
    assert code == 2 and said in err and "Traceback" not in err
    assert untouched(course)
