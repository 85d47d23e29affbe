"""`winterrisk skill` on a course with a few nights on file: what was said first counts, and it says what to do next."""

import json
from pathlib import Path

import pandas as pd
from small_courses import small_course

from winterrisk import nightly

QUICK = nightly.Settings(n_ground=1, n_paths=2, n_draws=20)


def test_nights_on_file_are_held_against_the_survey(tmp_path: Path, sample: Path, winterrisk_command) -> None:
    folder = small_course(tmp_path / "course", sample)
    code, out, _ = winterrisk_command("skill", folder)
    assert code == 3 and "Nothing to verify" in out and "--replay" in out
    for day in ("2023-12-10", "2024-01-12"):
        nightly.run(folder, pd.Timestamp(day).date(), send=False, settings=QUICK)
    for zone, dead in (("low", "70-90"), ("ridge", "0-5")):
        noted = ("survey", folder, "1", zone, "dead", dead, "--on", "2024-05-02", "--who", "Inga Varrow")
        code, _, err = winterrisk_command(*noted)
        assert code == 0, err
    assert "No crown temperature from a probe" in winterrisk_command("skill", folder)[1]
    for on, kelvin in (("2023-12-20", "-1.5"), ("2024-01-08", "-30"), ("2024-01-11", "-3.0")):
        noted = ("observe", folder, "1", "low", "crown", kelvin, "--on", on, "--who", "Inga Varrow")
        code, _, err = winterrisk_command(*noted)
        assert code == 0, err
    code, out, err = winterrisk_command("skill", folder, "--csv", tmp_path / "skill.csv")
    assert code == 0, err
    assert "Crown temperatures of a probe (3): ranked probability score" in out
    assert "15 December" in out and "Few winters (1) tell little" in out
    assert (folder / "reports" / "skill.png").stat().st_size > 10_000
    table = pd.read_csv(tmp_path / "skill.csv")
    assert table["cases"].tolist() == [2, 2, 2, 2] and table["happened"].tolist() == [1, 1, 1, 1]
    code, out, _ = winterrisk_command("skill", folder, "--json")
    told = json.loads(out)
    assert told["replayed"] is False and len(told["issues"]) == 4
    assert [row["seen"] for row in told["crowns"]] == [-1.5, -30.0, -3.0]
    for row in told["crowns"]:
        assert row["low"] <= row["mean"] <= row["high"]
        assert abs(row["score"] - abs(row["mean"] - row["seen"])) <= row["high"] - row["low"] + 1e-6
    near, far, after = told["crowns"]
    assert far["mean"] > -15.0 and far["score"] > 10.0, (
        "a probe's own word is kept out of what is held against it"
    )
    assert after["mean"] > -15.0 and max(near["score"], after["score"]) < far["score"]
