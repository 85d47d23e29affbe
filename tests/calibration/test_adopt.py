"""Adopting and taking back on real files: trail, hashes, and never half a pair."""

import datetime as dt
import os
import shutil
import subprocess
import sys
import textwrap
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import numpy as np
import pytest

from winterrisk.book import open_book
from winterrisk.calibration import (
    AdoptionError,
    Proposal,
    adopt,
    by_hand,
    history,
    read_proposed,
    read_version,
    undo,
    write_proposed,
)
from winterrisk.calibration.read_versions import NoProposalError
from winterrisk.calibration.write_pair import draws_text, pair_in
from winterrisk.thresholds import Thresholds, ThresholdsError

ICE = "ice_multiplier.annual_bluegrass"
WHO, WHY = "A. Berg (invented)", "two winters of plugs agree"
JUNE = dt.date(2025, 6, 2)


def proposal(value: float = 1.8, refusals: tuple[str, ...] = ()) -> Proposal:
    """A fit's proposal with joint draws."""
    base = Thresholds.defaults().with_value(ICE, value)
    joint = {ICE: np.exp(np.random.default_rng(4).normal(np.log(value), 0.1, 1000))}
    return Proposal(
        replace(base, joint=MappingProxyType(joint), used=frozenset({"P1", "survey 2"})),
        "24 plugs, invented",
        refusals,
    )


def files(course: Path) -> dict[str, bytes | None]:
    return dict(pair_in(course))


def test_adopted_thresholds_are_read_back_exactly(tmp_path: Path) -> None:
    wanted = proposal()
    version = adopt(wanted, tmp_path, WHO, WHY, on=JUNE)
    read = Thresholds.read(tmp_path)
    assert read.version == version.version == "2025-06-02-1"
    assert read.values[ICE] == 1.8
    assert np.array_equal(read.joint[ICE], wanted.thresholds.joint[ICE])
    assert read.used == {"P1", "survey 2"}
    assert (read.trail["who"], read.trail["why"], read.trail["before"]) == (WHO, WHY, "defaults")
    assert read.trail["basis"] == "24 plugs, invented"
    # what the night draws is the fit, not the table's prior (its ln sd is 0.35)
    drawn = read.draw(200, ("invented",), "chance")[ICE]
    assert np.std(np.log(drawn)) == pytest.approx(0.1, abs=0.02)


def test_the_book_has_a_row_of_each_version(tmp_path: Path) -> None:
    adopt(proposal(), tmp_path, WHO, WHY, on=JUNE)
    with open_book(tmp_path) as book:
        rows = book.record().thresholds
    assert list(rows["version"]) == ["2025-06-02-1"]
    assert (rows["who"].iloc[0], rows["why"].iloc[0]) == (WHO, WHY)
    assert rows["used"].iloc[0] == '["P1", "survey 2"]'


def test_undo_brings_back_the_version_before_byte_for_byte(tmp_path: Path) -> None:
    adopt(proposal(1.8), tmp_path, WHO, WHY, on=JUNE)
    first = files(tmp_path)
    second = adopt(proposal(0.9), tmp_path, WHO, "a third winter", on=JUNE)
    assert second.version == "2025-06-02-2"
    assert second.trail["before"] == "2025-06-02-1"
    assert files(tmp_path) != first
    back = undo(tmp_path, WHO, "the third winter was misread", on=JUNE)
    assert back.version == "2025-06-02-1"
    assert files(tmp_path) == first
    # every version stays readable as it stood
    assert read_version(tmp_path, "2025-06-02-2").values[ICE] == 0.9
    assert undo(tmp_path, WHO, WHY, on=JUNE).version == "defaults"
    assert set(files(tmp_path).values()) == {None}
    assert Thresholds.read(tmp_path).values == Thresholds.defaults().values
    with pytest.raises(AdoptionError, match="nothing to take back"):
        undo(tmp_path, WHO, WHY, on=JUNE)
    said = history(tmp_path)
    assert list(said["version"]) == ["2025-06-02-1", "2025-06-02-2", "undo 2025-06-02-1", "undo 2025-06-02-2"]
    assert "2025-06-02-2 taken back, 2025-06-02-1 stands again" in said["why"].iloc[2]
    assert list(said["stands"]) == [False, False, False, True]


def test_adopting_again_after_an_undo_takes_a_name_of_its_own(tmp_path: Path) -> None:
    adopt(proposal(1.8), tmp_path, WHO, WHY, on=JUNE)
    undo(tmp_path, WHO, WHY, on=JUNE)
    assert adopt(proposal(1.6), tmp_path, WHO, WHY, on=JUNE).version == "2025-06-02-2"


@pytest.mark.parametrize(("who", "why"), [("", WHY), (WHO, "  ")])
def test_no_name_or_no_reason_no_adoption(tmp_path: Path, who: str, why: str) -> None:
    with pytest.raises(AdoptionError):
        adopt(proposal(), tmp_path, who, why, on=JUNE)
    assert list(tmp_path.iterdir()) == []


def test_a_refused_fit_needs_a_written_override(tmp_path: Path) -> None:
    refused = proposal(refusals=("too little evidence", "all were alive"))
    with pytest.raises(AdoptionError, match="too little evidence") as raised:
        adopt(refused, tmp_path, WHO, WHY, on=JUNE)
    assert len(raised.value.faults) == 2
    assert list(tmp_path.iterdir()) == []
    version = adopt(refused, tmp_path, WHO, WHY, on=JUNE, override="our own cores say so")
    assert version.trail["override"] == "our own cores say so"
    assert version.trail["refused"] == "too little evidence\nall were alive"


@pytest.mark.parametrize("name", ["thresholds.toml", "thresholds_draws.csv"])
def test_files_changed_by_hand_are_refused_until_restored(tmp_path: Path, name: str) -> None:
    adopt(proposal(), tmp_path, WHO, WHY, on=JUNE)
    good = files(tmp_path)
    path = tmp_path / name
    old, new = ("= 1.8", "= 1.9") if name.endswith("toml") else ("1.", "2.")
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(ThresholdsError, match="undo"):
        Thresholds.read(tmp_path)
    with pytest.raises(ThresholdsError):
        adopt(proposal(0.9), tmp_path, WHO, WHY, on=JUNE)
    assert undo(tmp_path, WHO, "an edit nobody can explain", on=JUNE).version == "2025-06-02-1"
    assert files(tmp_path) == good
    kept = tmp_path / "thresholds_versions" / "by-hand-2025-06-02-1" / name
    assert new in kept.read_text(encoding="utf-8")


def test_a_file_that_is_no_toml_is_restored_too(tmp_path: Path) -> None:
    adopt(proposal(), tmp_path, WHO, WHY, on=JUNE)
    good = files(tmp_path)
    (tmp_path / "thresholds.toml").write_text("version = ", encoding="utf-8")
    undo(tmp_path, WHO, WHY, on=JUNE)
    assert files(tmp_path) == good


def test_a_value_set_by_hand_spreads_about_the_new_value(tmp_path: Path) -> None:
    adopt(proposal(1.8), tmp_path, WHO, WHY, on=JUNE)
    set_one = by_hand(Thresholds.read(tmp_path), "ice_steepness", 6.0, "softer turf")
    assert "ice_steepness 8 -> 6, because softer turf" in set_one.basis
    version = adopt(set_one, tmp_path, WHO, WHY, on=JUNE)
    assert version.values["ice_steepness"] == 6.0
    assert set(version.joint) == {ICE}, "what was learned of the other row stays"
    assert np.median(version.draw(200, ("a",), "chance")["ice_steepness"]) == pytest.approx(6.0, rel=0.05)
    with pytest.raises(ThresholdsError, match="did you mean ice_steepness"):
        by_hand(version, "ice_stepness", 6.0, WHY)
    only = adopt(by_hand(version, ICE, 1.4, WHY), tmp_path, WHO, WHY, on=JUNE)
    assert not only.joint
    assert not (tmp_path / "thresholds_draws.csv").exists()


def test_a_proposal_is_written_and_read_with_its_refusals(tmp_path: Path) -> None:
    with pytest.raises(NoProposalError, match="tune DIR fit"):
        read_proposed(tmp_path)
    wanted = proposal(refusals=("too little evidence", "hardly moved"))
    folder = write_proposed(wanted, tmp_path)
    assert folder == tmp_path / "reports" / "proposed_thresholds"
    write_proposed(wanted, tmp_path)
    read = read_proposed(tmp_path)
    assert read.refusals == wanted.refusals
    assert read.basis == wanted.basis
    assert np.array_equal(read.thresholds.joint[ICE], wanted.thresholds.joint[ICE])
    assert Thresholds.read(tmp_path).version == "defaults", "a proposal is not in force"
    # the refusals cannot be taken out of the file by hand
    path = folder / "thresholds.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(
        "\n".join(line for line in text.splitlines() if not line.startswith("refused")), encoding="utf-8"
    )
    with pytest.raises(ThresholdsError):
        read_proposed(tmp_path)


def test_a_folder_without_permission_is_refused_and_nothing_changes(tmp_path: Path) -> None:
    adopt(proposal(1.8), tmp_path, WHO, WHY, on=JUNE)
    good = files(tmp_path)
    blocked = tmp_path / "thresholds_versions"
    shutil.rmtree(blocked)
    blocked.write_text("a file in the way", encoding="utf-8")
    with pytest.raises(AdoptionError, match="allow writing there"):
        adopt(proposal(0.9), tmp_path, WHO, WHY, on=JUNE)
    assert files(tmp_path) == good


def test_draws_are_written_without_loss() -> None:
    joint = {"a": np.array([1 / 3, 1e-300]), "b": np.array([2.5, np.nextafter(1.0, 2.0)])}
    lines = draws_text(joint).splitlines()
    assert lines[0] == "a,b"
    back = np.array([[float(v) for v in line.split(",")] for line in lines[1:]])
    assert np.array_equal(back[:, 0], joint["a"]) and np.array_equal(back[:, 1], joint["b"])


KILLED = textwrap.dedent(
    """
    import datetime as dt, os, shutil, sys
    from pathlib import Path
    start, what, tests = Path(sys.argv[1]), sys.argv[2], sys.argv[3]
    sys.path.insert(0, tests)
    from test_adopt import proposal
    from winterrisk.calibration import adopt, undo, write_pair

    def dies_after(steps):
        whole_file, whole_unlink, left = write_pair.write_file, Path.unlink, [steps]
        def one_less():
            left[0] -= 1
            if left[0] < 0:
                os._exit(9)
        def write_file(path, contents):
            one_less()
            whole_file(path, contents)
        def unlink(self, missing_ok=False):
            one_less()
            whole_unlink(self, missing_ok=missing_ok)
        write_pair.write_file, Path.unlink = write_file, unlink

    for steps in range(20):
        course = start.parent / f"{steps}"
        shutil.copytree(start, course)
        child = os.fork()
        if child == 0:
            dies_after(steps)
            if what == "adopt":
                adopt(proposal(0.9), course, "A. Berg (invented)", "killed", on=dt.date(2025, 6, 3))
            else:
                undo(course, "A. Berg (invented)", "killed", on=dt.date(2025, 6, 3))
            os._exit(0)
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        print(code)
        if code != 9:
            break
    """
)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills child processes, which needs fork")
@pytest.mark.parametrize("what", ["adopt", "undo"])
def test_a_program_killed_at_any_step_leaves_one_whole_version(tmp_path: Path, what: str) -> None:
    start = tmp_path / "start"
    start.mkdir()
    adopt(proposal(1.8), start, WHO, WHY, on=JUNE)
    after = {"adopt": 0.9, "undo": Thresholds.defaults().values[ICE]}[what]
    run = subprocess.run(
        [sys.executable, "-c", KILLED, str(start), what, str(Path(__file__).parent)],
        capture_output=True,
        text=True,
        check=True,
    )
    codes = [int(line) for line in run.stdout.split()]
    assert codes[:-1] == [9] * (len(codes) - 1) and codes[-1] == 0, run.stderr
    assert len(codes) > 4, "killed before, between and after the two files"
    stood = []
    for steps in range(len(codes)):
        course = tmp_path / f"{steps}"
        now = Thresholds.read(course)
        stood.append(now.values[ICE])
        if now.joint:
            assert np.median(now.joint[ICE]) == pytest.approx(now.values[ICE], rel=0.02)
        # and work goes on from there
        adopt(proposal(1.5), course, WHO, "after the crash", on=dt.date(2025, 6, 4))
        assert np.median(Thresholds.read(course).joint[ICE]) == pytest.approx(1.5, rel=0.02)
    assert stood == sorted(stood, key=lambda value: value == after)
    assert {stood[0], stood[-1]} == {1.8, after}
