"""The spring of the sample at the command line: from the first plug to the reopening, and what people are told."""

import json
from pathlib import Path

import pytest
from small_courses import small_course
from spring_course import spring_course

from winterrisk.reports.note_gate import days_alone, words_of_loss


@pytest.fixture(scope="module")
def course(tmp_path_factory: pytest.TempPathFactory, sample: Path) -> Path:
    return spring_course(tmp_path_factory.mktemp("spring") / "course", sample)


def test_the_plan_after_the_verdicts(course: Path, winterrisk_command) -> None:
    code, printed, out = winterrisk_command("recovery", course, "--on", "2025-03-14", "--why", "--json")
    assert code == 0
    folder = course / "reports" / "recovery-2025-03-14"
    plan = json.loads((folder / "recovery.json").read_text())
    worst = plan["zones"][0]
    assert worst["zone"] == "4 low" and worst["source"] == "plugs"
    assert "4 low:" in out and "order by 20 Mar" in out and str(folder / "recovery.html") in out
    page = (folder / "recovery.html").read_text()
    assert "<script" not in page and "http" not in page.replace("http://www.w3.org", "")
    assert "why there: less annual bluegrass, in" in out and "m² more alive" in out
    assert {row["zone"] for row in plan["why"]} == {z["zone"] for z in plan["zones"]}
    assert "Why there" in page and "A replay is no proof" in page
    for zone in plan["zones"]:
        for option in zone["options"]:
            told = [option["days"]["play"][p] for p in ("p10", "p50", "p90")]
            known = [t for t in told if t]
            assert known == sorted(known)
    assert json.loads(printed) == plan


def test_without_data_of_the_last_days_it_says_so(tmp_path: Path, sample: Path, winterrisk_command) -> None:
    """The record ends on 8 January 2025: a plan of the 12th is no all-clear."""
    folder = small_course(tmp_path / "silent", sample, last="2025-01-09T00:00")
    code, _, out = winterrisk_command("recovery", folder, "--on", "2025-01-12", "--json")
    assert code == 3
    assert "CANNOT SAY what the last days did: no air temperature and precipitation for 72" in out
    plan = json.loads((folder / "reports" / "recovery-2025-01-12" / "recovery.json").read_text())
    assert plan["cannot_say"].startswith("no air temperature")
    assert "CANNOT SAY" in (folder / "reports" / "recovery-2025-01-12" / "recovery.html").read_text()


def test_without_a_past_spring_no_day_can_be_told(tmp_path: Path, sample: Path, winterrisk_command) -> None:
    folder = small_course(tmp_path / "new", sample)
    code, out, err = winterrisk_command("recovery", folder, "--on", "2024-01-15")
    assert (code, out) == (2, "")
    assert "found no earlier spring, expected" in err and "older years" in err
    assert not (folder / "reports").exists()


def test_what_was_known_that_day_counts_and_nothing_later(course: Path, winterrisk_command) -> None:
    """On 14 March there is no survey yet; on 15 May the survey of the 12th says how much is dead."""
    winterrisk_command("recovery", course, "--on", "2025-05-15")
    march, may = (
        json.loads((course / "reports" / f"recovery-{day}" / "recovery.json").read_text())
        for day in ("2025-03-14", "2025-05-15")
    )
    assert "survey" not in {z["source"] for z in march["zones"]}
    assert {z["source"] for z in may["zones"]} == {"survey"}
    low = next(z for z in may["zones"] if z["zone"] == "4 low")
    assert (low["dead"]["low"], low["dead"]["high"]) == (0.7, 0.9)


def test_members_hear_of_loss_only_after_the_verdict(course: Path, winterrisk_command) -> None:
    before = winterrisk_command("note", course, "member", "--on", "2025-03-01")
    after = winterrisk_command("note", course, "member", "--on", "2025-03-14")
    for code, out, _ in (before, after):
        text = out.split("\n/")[0]
        assert code == 0 and len(text.split()) <= 150 and days_alone(text) == ()
    assert words_of_loss(before[1].split("\n/")[0]) == ()
    assert "lost" in words_of_loss(after[1]) and "between" in after[1]


@pytest.mark.parametrize(
    "day", ["2024-11-20", "2024-12-24", "2025-01-20", "2025-02-10", "2025-02-26", "2025-03-05"]
)
def test_no_day_before_the_verdict_has_words_of_loss(course: Path, winterrisk_command, day: str) -> None:
    code, out, _ = winterrisk_command("note", course, "member", "--on", day)
    assert code == 0 and words_of_loss(out.split("\n/")[0]) == ()


def test_an_edited_note_that_says_too_much_is_kept_and_named(course: Path, winterrisk_command) -> None:
    winterrisk_command("note", course, "member", "--on", "2025-03-02")
    file = course / "reports" / "notes" / "2025-03-02-member.md"
    edited = file.read_text() + "\nThe low spots are dead.\n"
    file.write_text(edited)
    code, out, err = winterrisk_command("note", course, "member", "--on", "2025-03-02")
    assert code == 0 and file.read_text() == edited and "dead" in out
    assert "edited by hand, left as it is" in err and "no plug or survey known by then shows it" in err
    assert "The low spots are dead." in file.with_suffix(".html").read_text()


def test_the_board_is_asked_with_amounts_days_and_money(course: Path, winterrisk_command) -> None:
    code, out, _ = winterrisk_command("note", course, "board", "--on", "2025-03-14")
    assert code == 0 and "CAD" in out and "of sod" in out and "between 14 and 20 Mar" in out
    assert days_alone(out.split("\n/")[0]) == ()


def test_days_outside_a_winter_and_words_that_are_no_date_are_refused(
    course: Path, winterrisk_command
) -> None:
    for words in (
        ("recovery", course, "--on", "2025-07-10"),
        ("note", course, "board", "--on", "2025-07-10"),
    ):
        code, _, err = winterrisk_command(*words)
        assert code == 2 and "--on: found 2025-07-10" in err and "2 August to 29 June" in err
    code, _, err = winterrisk_command("recovery", course, "--clear-on", "soon")
    assert code == 2 and "--clear-on" in err
    code, _, err = winterrisk_command("recovery", course, "--on", "2025-03-14", "--clear-on", "2025-04-20")
    assert code == 2 and "--clear-on: found 2025-04-20" in err and "before 2025-03-14" in err
    code, _, err = winterrisk_command("recovery", course, "--on", "2019-03-01")
    assert code == 2 and "2019" in err


def test_check_and_the_night_name_a_sealed_cover_that_went_on_too_early(
    tmp_path: Path, sample: Path, winterrisk_command
) -> None:
    folder = spring_course(tmp_path / "course", sample)
    book = folder / "book" / "observations.csv"
    text = book.read_text()
    early = text.replace(
        "2025-11-18T20:00,,8,open,cover_on,,,1,permeable,Inga Varrow,2025-11-19T00:00",
        "2025-10-14T20:00,,8,open,cover_on,,,1,impermeable,Inga Varrow,2025-10-15T00:00",
    )
    assert early != text
    assert "DANGER" not in winterrisk_command("check", folder)[1]
    book.write_text(early)
    code, out, _ = winterrisk_command("check", folder)
    assert code == 0 and "cover on 8 open: DANGER" in out and "not frozen" in out
    code, out, _ = winterrisk_command("nightly", folder, "--on", "2025-11-20")
    assert out.startswith("LET AIR IN UNDER THE SEALED COVER TODAY: 8 open") and "90 to 95 %" in out
