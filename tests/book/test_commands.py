"""The commands that write in the book, run as people run them: what they say back, and their exit codes."""

import re
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
    assert cut[1] == (
        "batch 2025-01-14 begun: sill, in the warm from 2025-01-15 01:00; "
        "note how warm it is at the plugs: plug DIR batch '2025-01-14' --temperature 18"
    )
    control = said("plug", folder, "add", "9 open B1", "--on", "2025-01-14 10:00", "--control")
    assert control == "noted P2, 9 open B1, control, cut 2025-01-14 10:00, batch 2025-01-14"
    look = said("plug", folder, "look", "P1", "--growth", 60, "--species", "poa", "--on", "2025-01-22")
    assert look == "noted P1, new growth 60 % of annual bluegrass, 2025-01-22 12:00"
    by_spot = said("plug", folder, "look", "4 low A2 day9 growth 70 poa")
    assert by_spot.startswith("noted P1, new growth 70 %") and by_spot.endswith("2025-01-24 01:00")
    listed = said("plug", folder, "list", "--on", "2025-01-25").splitlines()
    assert listed[0].startswith("P1  4 low A2, cut 2025-01-14: annual bluegrass: alive: green from day 7")
    assert "P2  9 open B1 control" in listed[1] and "not looked at yet" in listed[1]
    assert "1 plug called, alive: up to 95% of it can still be dead (95 %)" in listed[2]
    assert listed[-1].startswith("They speak of what happened before the cut")


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


def test_the_whole_book_goes_out_and_back_by_command(
    folder: Path, tmp_path: Path, said: Say, refused: Say
) -> None:
    said("plug", folder, "add", "4 low A2", "--on", "2025-01-14 09:00")
    said("observe", folder, "4 low ice 2cm", "--on", "2025-01-14 09:00")
    out = tmp_path / "my out"
    assert said("plug", folder, "export", out) == f"wrote {out}: 1 batches, 1 plugs, 1 observations"
    assert said("plug", folder, "import", out).endswith(
        "batches: 0 new, 1 there already; plugs: 0 new, 1 there already; observations: 0 new, 1 there already"
    )
    backup = tmp_path / "kept.sqlite"
    assert said("plug", folder, "export", backup) == f"wrote the backup {backup}"
    said("observe", folder, "--withdraw", 1)
    assert said("plug", folder, "import", backup).startswith(
        f"put back {backup}; the book as it was before is "
    )
    assert said("observe", folder).startswith("1: 4 low, ice 20 mm")
    assert "no such file" in refused("plug", folder, "import", tmp_path / "nothing.csv")


def test_a_spreadsheet_of_lines_is_typed_in_by_command(folder: Path, tmp_path: Path, said: Say) -> None:
    (tmp_path / "walk.csv").write_text("line,day\n4 low ice 2cm,2025-01-14\n", encoding="utf-8")
    told = said("plug", folder, "import", tmp_path / "walk.csv").splitlines()
    assert told[0].startswith("noted 1: 4 low, ice 20 mm") and told[1].endswith(
        "line: 1 new, 0 there already"
    )


def test_a_field_sheet_is_written_for_the_zones_named(folder: Path, said: Say, refused: Say) -> None:
    told = said("plug", folder, "sheet", "4 low, practice collar dam", "--on", "2025-02-11")
    path = folder / "reports" / "field_sheet_2025-02-11.pdf"
    assert told == f"wrote {path}: 7 plugs with the control, zones as asked for"
    assert path.read_bytes().startswith(b"%PDF")
    assert "did you mean 4 low?" in refused("plug", folder, "sheet", "4 lov")


def test_the_room_of_the_course_is_the_room_of_a_batch_without_notes(folder: Path, said: Say) -> None:
    """A cooler room makes the verdict due later; a batch's own note goes before it."""

    def due(temperature: int) -> str:
        text = (folder / "course.toml").read_text(encoding="utf-8").partition("[plug_room]")[0]
        (folder / "course.toml").write_text(
            f"{text}[plug_room]\ntemperature = {temperature}\n", encoding="utf-8"
        )
        return said("plug", folder, "list", "--on", "2025-01-20")

    (folder / "book").mkdir()
    (folder / "book" / "plugs.csv").write_text(
        "id,area,zone,cut\n1,4,low,2025-01-14\n2,4,low,2025-01-14\n", encoding="utf-8"
    )
    (folder / "book" / "looks.csv").write_text(
        "plug,time,new_growth\n1,2025-01-18,0\n2,2025-01-18,0\n", encoding="utf-8"
    )
    warm, cool = due(22), due(12)
    days = [re.findall(r"time is up (\d+ \w+)", told) for told in (warm, cool)]
    assert [len(d) for d in days] == [2, 2] and days[0] != days[1]
    begun = said("plug", folder, "add", "4 low A2", "--on", "2025-01-14 09:00")
    assert "begun: sill at 12 C" in begun
