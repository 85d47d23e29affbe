"""The commands that write in the book, run as people run them: what they say back, and their exit codes."""

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from winterrisk.book import open_book
from winterrisk.cli import main

Say = Callable[..., str]


@pytest.fixture
def run(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., tuple[int, str, str]]:
    """Exit code, stdout and stderr of the command line."""

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["winterrisk", *map(str, words)])
        capsys.readouterr()
        code = 0
        try:
            main()
        except SystemExit as stop:
            code = int(stop.code or 0)
        told = capsys.readouterr()
        return code, told.out.strip(), told.err.strip()

    return command


@pytest.fixture
def said(run: Callable[..., tuple[int, str, str]]) -> Say:
    """What a command that did its job said."""

    def command(*words: object) -> str:
        code, out, err = run(*words)
        assert (code, err) == (0, "")
        return out

    return command


@pytest.fixture
def refused(run: Callable[..., tuple[int, str, str]]) -> Say:
    """The one line of a command that refused its input."""

    def command(*words: object) -> str:
        code, out, err = run(*words)
        assert (code, out) == (2, "")
        assert len(err.splitlines()) == 1
        return err

    return command


def test_an_observation_is_noted_listed_corrected_and_withdrawn(folder: Path, said: Say) -> None:
    told = ["--on", "2025-01-14 09:00", "--known", "2025-01-14 10:00"]
    assert said("observe", folder, "4 low ice 2cm clear", *told, "--who", "Ann") == (
        "noted 1: 4 low, ice 20 mm clear, 2025-01-14 09:00 by Ann"
    )
    with open_book(folder) as book:
        seen = book.record().observations.iloc[0]
        assert str(seen["time"]) == "2025-01-14 15:00:00", "course time is six hours behind UTC"
    assert said("observe", folder, "4", "low", "ice", "3cm", "--correct", 1, "--on", "2025-01-14") == (
        "corrected 1: 4 low, ice 30 mm, 2025-01-14 12:00"
    )
    assert said("observe", folder) == "1: 4 low, ice 30 mm, 2025-01-14 12:00"
    assert said("observe", folder, "--withdraw", 1).startswith("withdrawn 1")
    assert said("observe", folder).startswith("nothing noted yet")


def test_a_note_of_long_ago_says_that_earlier_nights_stand(folder: Path, said: Say) -> None:
    assert "nights before stay as they were" in said("observe", folder, "4 low no ice", "--on", "2025-01-14")


def test_a_plug_is_cut_looked_at_and_listed(folder: Path, said: Say) -> None:
    cut = said("plug", folder, "add", "4 low A2 5cm", "--on", "2025-01-14 09:00", "--who", "Ann").splitlines()
    assert cut[0] == "noted P1, 4 low A2, 50 mm deep, cut 2025-01-14 09:00 by Ann, batch 2025-01-14"
    assert cut[1] == "batch 2025-01-14 begun: sill at 18 C, in the warm from 2025-01-15 01:00"
    control = said("plug", folder, "add", "9 open B1", "--on", "2025-01-14 10:00", "--control")
    assert control == "noted P2, 9 open B1, control, cut 2025-01-14 10:00, batch 2025-01-14"
    look = said("plug", folder, "look", "P1", "--growth", 60, "--species", "poa", "--on", "2025-01-22")
    assert look == "noted P1, new growth 60 % of annual bluegrass, 2025-01-22 12:00"
    by_spot = said("plug", folder, "look", "4 low A2 day9 growth 70 poa")
    assert by_spot.startswith("noted P1, new growth 70 %") and by_spot.endswith("2025-01-24 01:00")
    listed = said("plug", folder, "list", "--on", "2025-01-25").splitlines()
    assert listed[0].startswith("P1  4 low A2, cut 2025-01-14: annual bluegrass: alive: green from day 7")
    assert "P2  9 open B1 control" in listed[1] and "not looked at yet" in listed[1]
    assert listed[2].endswith("1 plug called, all alive: up to 95% of it can still be dead (95 %)")


def test_a_room_is_corrected_and_the_due_date_moves(folder: Path, said: Say) -> None:
    said("plug", folder, "add", "4 low A2", "--on", "2025-01-14 09:00", "--batch", "tray 1")
    before = said("plug", folder, "list", "--on", "2025-01-20")
    assert (
        said("plug", folder, "batch", "tray 1", "--temperature", 12) == "noted batch tray 1: temperature 12.0"
    )
    assert said("plug", folder, "list", "--on", "2025-01-20") != before


def test_a_survey_and_a_decision_are_noted(folder: Path, said: Say) -> None:
    assert said("survey", folder, "4 low dead 30-50 ice", "--on", "2025-04-20", "--who", "Ann") == (
        "noted 1: 4 low, 30-50 % dead, cause ice, 2025-04-20 by Ann"
    )
    decided = said("decide", folder, "no seed order", "--why", "plugs green", "--told", "committee")
    assert decided == "noted 1: no seed order, because plugs green; told committee"


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["observe", "4 lw ice 2cm"], "did you mean 4 low?"),
        (["observe", "4 low ice 2cm", "--on", "2099-01-01"], "in the future"),
        (["observe", "4 low ice 2cm", "--on", "14/01/2025"], "a day such as 2025-01-14"),
        (["observe", "4 low ice 2cm", "--at", "25:00"], "an hour such as 7:30"),
        (["observe", "--withdraw", "9"], "no such row"),
        (["plug", "ad", "4 low"], "did you mean add?"),
        (["plug", "add"], "nothing after it"),
        (["plug", "look", "P1", "--growth", "140"], "140 %"),
        (["plug", "look", "P1", "--growth", "20", "--on", "2025-01-13"], "before the plug was cut"),
        (["plug", "look", "P9", "--growth", "20"], "did you mean P1?"),
        (["plug", "look", "4 ridge growth 20"], "no plug of 4 ridge"),
        (["survey", "4 low dead 130"], "130 %"),
        (["decide", " "], "what was decided"),
    ],
)
def test_bad_input_is_one_line_exit_2_and_nothing_written(
    folder: Path, said: Say, refused: Say, words: list[str], message: str
) -> None:
    said("plug", folder, "add", "4 low A2", "--on", "2025-01-14 09:00")
    with open_book(folder) as book:
        before = book.record().hash()
    line = refused(words[0], folder, *words[1:])
    assert message in line
    with open_book(folder) as book:
        assert book.record().hash() == before


def test_a_folder_without_a_course_is_refused(tmp_path: Path, refused: Say) -> None:
    assert "course.toml" in refused("observe", tmp_path, "4 low no ice")
    assert list(tmp_path.iterdir()) == []
