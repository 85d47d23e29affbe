"""The command `tune` on a folder with a proposal in it; replays are tested with the sample course."""

from pathlib import Path

import pandas as pd
import pytest
import typer
from test_adopt import ICE, WHO, WHY, proposal
from typer.testing import CliRunner, Result

from winterrisk.calibration import AdoptionError, CalibrationError, write_proposed
from winterrisk.calibration.read_versions import NoProposalError
from winterrisk.cli.tune import tune
from winterrisk.science.faults import Refused
from winterrisk.thresholds import Thresholds

SIGNED = ("--who", WHO, "--why", WHY, "--on", "2025-06-02")


def command(*words: str) -> Result:
    app = typer.Typer()
    app.command()(tune)
    return CliRunner().invoke(app, list(words))


def test_adopt_history_compare_undo(tmp_path: Path) -> None:
    write_proposed(proposal(1.8), tmp_path)
    compared = command(str(tmp_path), "compare")
    assert "in force (defaults)" in compared.output and "proposed" in compared.output
    assert f"{ICE}            1.3                  1.3   1.8 (" in compared.output
    adopted = command(str(tmp_path), "adopt", *SIGNED)
    assert adopted.exit_code == 0, adopted.output
    assert "Adopted 2025-06-02-1 in place of defaults" in adopted.output
    assert Thresholds.read(tmp_path).values[ICE] == 1.8
    said = command(str(tmp_path), "history").output
    assert f"2025-06-02-1  {WHO}: {WHY} (2 plugs and surveys)  <- stands" in said
    assert "defaults stands again" in command(str(tmp_path), "undo", *SIGNED).output
    assert Thresholds.read(tmp_path).version == "defaults"


def test_versions_and_courses_stand_side_by_side(tmp_path: Path, course_copy: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    for value in (1.8, 2.0):
        write_proposed(proposal(value), own)
        assert command(str(own), "adopt", *SIGNED).exit_code == 0
    file = tmp_path / "beside.csv"
    told = command(
        str(own), "compare", "--with", "2025-06-02-1", "--with", str(course_copy), "--csv", str(file)
    )
    assert told.exit_code == 0, told.output
    table = pd.read_csv(file)
    row = table.set_index("threshold").loc[ICE]
    assert row["in force (2025-06-02-2)"] == 2.0 and row["2025-06-02-1"] == 1.8 and row["Ostermoor"] == 1.3
    unknown = command(str(own), "compare", "--with", "2025-06-02-9")
    assert isinstance(unknown.exception, Refused) and "2025-06-02-" in str(unknown.exception)


def test_the_table_goes_into_a_spreadsheet_too(tmp_path: Path) -> None:
    pytest.importorskip("openpyxl", reason="spreadsheets need the extra xlsx")
    write_proposed(proposal(1.8), tmp_path)
    file = tmp_path / "beside.xlsx"
    told = command(str(tmp_path), "compare", "--csv", str(file))
    assert told.exit_code == 0, told.output
    assert pd.read_excel(file).set_index("threshold").loc[ICE, "proposed"] == 1.8


def test_a_file_changed_by_hand_is_taken_over_with_a_name_and_a_reason(tmp_path: Path) -> None:
    write_proposed(proposal(1.8), tmp_path)
    command(str(tmp_path), "adopt", *SIGNED)
    unchanged = command(str(tmp_path), "adopt", "--by-hand", *SIGNED)
    assert isinstance(unchanged.exception, AdoptionError) and "as it was adopted" in str(unchanged.exception)
    path = tmp_path / "thresholds.toml"
    text = path.read_text(encoding="utf-8")
    for right, wrong, found in (
        ("1.8", "180.0", "found 180"),
        ("annual_bluegrass", "annual_bluegras", "nearest is ice_multiplier.annual_bluegrass"),
        ("1.8", "[1.8", "expected a TOML file"),
    ):
        path.write_text(text.replace(right, wrong), encoding="utf-8")
        refused = command(str(tmp_path), "adopt", "--by-hand", *SIGNED)
        assert isinstance(refused.exception, Refused) and found in str(refused.exception)
        assert not list((tmp_path / "thresholds_versions").glob("by-hand*")), "nothing was moved"
    path.write_text(text.replace("1.8", "1.6"), encoding="utf-8")
    with pytest.raises(Refused, match="by-hand"):
        Thresholds.read(tmp_path)
    unsigned = command(str(tmp_path), "adopt", "--by-hand")
    assert "--who" in str(unsigned.exception)
    taken = command(str(tmp_path), "adopt", "--by-hand", *SIGNED)
    assert taken.exit_code == 0, taken.output
    version = Thresholds.read(tmp_path)
    assert version.values[ICE] == 1.6 and ICE not in version.joint
    assert "1.8 -> 1.6" in version.trail["basis"] and version.trail["why"] == WHY
    assert "by-hand" in " ".join(p.name for p in (tmp_path / "thresholds_versions").iterdir())


def test_a_course_without_versions_says_so(tmp_path: Path) -> None:
    assert "Nothing was ever adopted" in command(str(tmp_path), "history").output
    assert not (tmp_path / "book.sqlite").exists()


@pytest.mark.parametrize(
    ("words", "refusal", "said"),
    [
        (("adopt",), NoProposalError, "tune DIR fit"),
        (("preview",), NoProposalError, "no proposal"),
        (("undo", *SIGNED), AdoptionError, "nothing to take back"),
        (("fit", "--row", "ice_stepness"), CalibrationError, "did you mean ice_steepness"),
        (("set", "ice_stepness", "6", "--why", "x"), Refused, "did you mean ice_steepness"),
        (("set", "ice_steepness", "600", "--why", "x"), Refused, "2 to 32"),
        (("set", "ice_steepness", "6"), Refused, "no reason"),
        (("set",), Refused, "NAME VALUE"),
        (("adopt", "--on", "June"), Refused, "2025-02-26"),
    ],
)
def test_what_cannot_be_done_is_refused_in_words(
    tmp_path: Path, words: tuple[str, ...], refusal: type[Refused], said: str
) -> None:
    if "--on" in words and words[0] == "adopt":
        write_proposed(proposal(1.8), tmp_path)
    result = command(str(tmp_path), *words)
    assert isinstance(result.exception, refusal), result.output
    assert said in str(result.exception)
    assert Thresholds.read(tmp_path).version == "defaults"


def test_adopt_wants_a_name_and_a_reason_and_a_refused_fit_an_override(tmp_path: Path) -> None:
    write_proposed(proposal(1.8, refusals=("all were alive",)), tmp_path)
    unsigned = command(str(tmp_path), "adopt")
    assert "--who" in str(unsigned.exception) and "--why" in str(unsigned.exception)
    refused = command(str(tmp_path), "adopt", *SIGNED)
    assert "all were alive" in str(refused.exception) and "--override" in str(refused.exception)
    assert Thresholds.read(tmp_path).version == "defaults"
    assert command(str(tmp_path), "adopt", *SIGNED, "--override", "our cores").exit_code == 0
    assert Thresholds.read(tmp_path).trail["override"] == "our cores"


def test_help_ends_with_an_example() -> None:
    text = command("--help").output
    assert "Example: winterrisk tune my_course adopt" in text
