"""The script reads rows it has never seen: it works them or refuses them by id, and always sums up last."""

import csv
import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
import turf_scores
from turf_cases import CaseError, case_days, case_of, read_cases

from winterrisk.thresholds import SPECIES

HEAD = ("id", "species", "biotype", "start_kill", "kind", "series", "ask", "low", "high", "citation")
ICE = [{"days": 70, "crown_min": -3, "crown_mean": -3, "crown_max": -3, "sealed": 1}]


def row(name: str, **changed: object) -> dict[str, str]:
    """A row that works, but for what is changed."""
    given = {
        "id": name, "species": "annual_bluegrass", "biotype": "plain", "start_kill": -21.5, "kind": "ice",
        "series": ICE, "ask": "dead", "low": 0, "high": 1, "citation": "made up",
    } | changed  # fmt: skip
    return {k: json.dumps(v) if isinstance(v, list | dict) else str(v) for k, v in given.items()}


def table(path: Path, rows: list[dict[str, str]], head: tuple[str, ...] = HEAD) -> Path:
    """A CSV file of these rows."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, head, extrasaction="ignore")
        writer.writeheader()
        writer.writerows(rows)
    return path


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, list[str]]:
    """Exit code and lines of the script."""
    code = turf_scores.main(list(arguments))
    return code, capsys.readouterr().out.strip().splitlines()


def value(**changed: object) -> float:
    return turf_scores.value_of(case_of(row("x", **changed)))


@pytest.mark.parametrize("species", SPECIES)
@pytest.mark.parametrize("ask", ["kill_temperature", "dead", "water"])
def test_every_grass_answers_every_question(species: str, ask: str) -> None:
    found = value(species=species, start_kill="", ask=ask)
    assert np.isfinite(found)
    assert (-50.0 <= found <= -3.0) if ask == "kill_temperature" else (0.0 <= found <= 1.0)


@pytest.mark.parametrize("kind", ["hardiness", "ice", "event", "mould", "drying", "spring"])
@pytest.mark.parametrize("start", ["", -12, -99])
def test_every_kind_and_start_is_worked(kind: str, start: object) -> None:
    assert 0.0 <= value(kind=kind, start_kill=start) <= 1.0


def test_the_hardy_biotype_counts_and_empty_is_plain() -> None:
    autumn = [{"days": 60, "crown_mean": 2}, {"days": 30, "crown_mean": -3}]
    kills = {b: value(biotype=b, start_kill="", series=autumn, ask="kill_temperature") for b in ("hardy", "")}
    assert kills["hardy"] < kills[""] - 2.0


def test_what_a_part_leaves_out_is_taken_from_the_rest() -> None:
    days = case_days(case_of(row("x", series=[{"days": 2, "crown_min": -6, "crown_max": -2}])))
    assert days["crown_temperature_mean"].to_numpy().ravel().tolist() == [-4.0, -4.0]
    days = case_days(case_of(row("x", series=[{"days": 1, "crown_mean": -4, "sealed": None, "note": "x"}])))
    assert float(days["crown_temperature_min"].squeeze()) == -4.0
    assert float(days["hours_sealed"].squeeze()) == 0.0
    assert float(days["air_store"].squeeze()) == 0.5


def test_store_days_and_snow_reach_the_hazards() -> None:
    direct, over_soil_air = (value(series=[{**ICE[0], "store_days": s}]) for s in (0.0, 3.0))
    assert direct > over_soil_air + 0.2
    bare, snowy = (
        value(kind="mould", series=[{"days": 100, "crown_mean": 0.2, "snow_m": s}]) for s in (0.0, 0.4)
    )
    assert snowy > bare + 0.4


def test_sealed_may_be_hours_or_a_share() -> None:
    assert value(series=[{**ICE[0], "sealed": 24}]) == value(series=[{**ICE[0], "sealed": True}])


def test_parts_of_days_keep_their_extremes_and_their_length() -> None:
    parts = [{"days": 1.5, "crown_mean": 8}, {"days": 0.5, "crown_min": -9, "crown_mean": -4, "crown_max": 0}]
    days = case_days(case_of(row("x", series=parts)))
    assert days["crown_temperature_min"].to_numpy().ravel().tolist() == [8.0, -9.0]
    assert days["crown_temperature_mean"].to_numpy().ravel() == pytest.approx([8.0, 2.0])
    assert case_days(case_of(row("x", series=[{"days": 7.8, "crown_mean": -1}]))).sizes["day"] == 8


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"species": "zoysia"}, "species: found 'zoysia'"),
        ({"biotype": "MN42"}, "biotype: found 'MN42'"),
        ({"kind": "fire"}, "kind: found 'fire'"),
        ({"ask": "colour"}, "ask: found 'colour'"),
        ({"start_kill": "soft"}, "start_kill: found 'soft'"),
        ({"low": "", "high": ""}, "low and high are both empty"),
        ({"series": "[{"}, "series: not JSON"),
        ({"series": ""}, "series: found ''"),
        ({"series": [{"crown_mean": -3}]}, "series part 1: days is None"),
        ({"series": [*ICE, {"days": 3, "sealed": 1}]}, "series part 2: no crown temperature"),
        ({"series": [{"days": 3, "crown_mean": "cold"}]}, "crown_mean is 'cold'"),
        ({"series": [{"days": 3, "crown_min": 1, "crown_mean": -3}]}, "out of order"),
        ({"ask": "order", "low": ["x"]}, "expected two ids or more"),
    ],
)
def test_a_row_that_cannot_be_worked_says_why(changed: dict[str, object], said: str) -> None:
    with pytest.raises(CaseError) as refusal:
        case_of(row("x", **changed))
    assert said in str(refusal.value)


def test_refused_rows_do_not_stop_the_others(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [
        row("good", low=0.3, high=0.8),
        row("bad", species="moss"),
        row("lost", ask="order", low=["good", "nowhere"], high=""),
        row("good", low=0, high=1),
    ]
    code, lines = run(capsys, str(table(tmp_path / "cases.csv", rows)))
    assert code == 1
    assert [line.split(":")[0] for line in lines if line.startswith("REFUSED")] == [
        "REFUSED bad", "REFUSED good (row 4)", "REFUSED lost",
    ]  # fmt: skip
    assert lines[-1].startswith("turf cases: 1 of 4 met; missed: none; refused: bad,")


def test_an_order_may_name_rows_of_the_shipped_table(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    order = row("o", ask="order", species="", series="", low=["mine", "ice 60 d hardened"], high=0.1)
    code, lines = run(capsys, str(table(tmp_path / "cases.csv", [order, row("mine")])))
    assert code == 0
    assert lines[-1] == "turf cases: 2 of 2 met; missed: none"


def test_a_miss_is_exit_code_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, lines = run(capsys, str(table(tmp_path / "cases.csv", [row("never", low=0.99, high="")])))
    assert code == 1
    assert lines[-1] == "turf cases: 0 of 1 met; missed: never"


def test_optional_columns_may_be_left_out(tmp_path: Path) -> None:
    head = ("id", "species", "series", "ask", "low", "high")
    cases, refused = read_cases(table(tmp_path / "cases.csv", [row("x", series=ICE)], head))
    assert refused == {}
    assert (cases[0].biotype, cases[0].start_kill, cases[0].kind) == ("plain", None, "hardiness")


def test_no_table_is_exit_code_two(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, str(tmp_path / "none.csv"))[0] == 2
    assert run(capsys, str(table(tmp_path / "cases.csv", [], ("id", "species"))))[0] == 2


def test_help_names_the_columns() -> None:
    script = Path(turf_scores.__file__)
    done = subprocess.run(
        [sys.executable, str(script), "--help"],
        capture_output=True, text=True, check=True, env=dict(os.environ),
    )  # fmt: skip
    assert all(name in done.stdout for name in HEAD)
