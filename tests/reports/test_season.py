"""A season told from a course folder: what stands on the page, what is left out, and the same bytes twice."""

import copy
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from page_text import Page

from winterrisk import season
from winterrisk.book import open_book
from winterrisk.reports.season_page import picture_label
from winterrisk.reports.write_night import write_night
from winterrisk.science.faults import Refused

WINTER = "2024-25"
SURVEYS = """winter,date,area,zone,species,dead_low,dead_high,cause,who,known
2024-25,2025-05-12,4,low,all,0.5,0.7,wet_freeze,Ann Bell,2025-05-13T01:00
2024-25,2025-05-12,4,open,all,0.0,0.05,unknown,Ann Bell,2025-05-13T01:00
2023-24,2024-05-12,4,low,all,0.1,0.2,ice,Ann Bell,2024-05-13T01:00
"""
PLUGS = """id,area,zone,spot,cut,depth_mm,crowns,control,ice_mm,batch,label,who,known
1,4,low,1,2025-02-27T16:00,50,yes,false,5,1,a,Ann Bell,2025-02-27T23:00
2,4,open,1,2025-02-27T16:10,50,yes,false,0,1,b,Ann Bell,2025-02-27T23:00
"""
BATCHES = """id,warm_from,room,temperature,light_hours,light_mol,void
1,2025-02-27T22:00,lamp,20,14,11,false
"""
LOOKS = "plug,time,species,new_growth,colour,smell,who,known\n" + "".join(
    f"{plug},{day}T16:00,annual_bluegrass,{growth},{colour},none,Ann Bell,{day}T22:00\n"
    for day in ("2025-03-04", "2025-03-06", "2025-03-08", "2025-03-13", "2025-03-20")
    for plug, growth, colour in ((1, 0, "brown"), (2, 0.6, "green"))
)
OBSERVATIONS = """time,until,area,zone,kind,value,unit,share,detail,who,known
2025-01-14T15:42,,4,low,ice_seen,9,mm,0.9,clear,Ann Bell,2025-01-14T22:13
2025-01-15T15:42,,4,,snow_depth_seen,12,cm,1,,Ann Bell,2025-01-15T22:13
2024-11-20T20:00,,4,open,cover_on,,,1,permeable,Ann Bell,2024-11-21T00:00
"""
DECISIONS = """time,text,reason,night,who,told
2025-03-13T16:30,Order sod,lows brown,2025-03-12,Ann Bell,Lee Roe
"""
COURSE = """
[place]
name = {name}
id = "testmoor"
latitude = 46.6
longitude = -95.0
elevation = 380
timezone = "America/Winnipeg"
units = "{units}"
invented = true
[station]
file = "station.csv"
name = {station}
provider = "invented"
licence = "free to use"
[[areas]]
name = "4"
kind = "green"
size = 500
turf = {{annual_bluegrass = 1.0}}
[[areas.zones]]
name = {zone}
template = "low spot"
share = 0.2
[[areas.zones]]
name = "open"
template = "open"
share = 0.8
"""


def toml(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def course_folder(
    folder: Path,
    *,
    name: str = "Testmoor",
    zone: str = "low",
    station: str = "yard",
    book: bool = True,
    units: str = "metric",
) -> Path:
    folder.mkdir(parents=True)
    text = COURSE.format(name=toml(name), zone=toml(zone), station=toml(station), units=units)
    (folder / "course.toml").write_text(text, encoding="utf-8")
    if book:
        (folder / "book").mkdir()
        tables = {
            "surveys": SURVEYS, "plugs": PLUGS, "batches": BATCHES, "looks": LOOKS,
            "observations": OBSERVATIONS, "decisions": DECISIONS,
        }  # fmt: skip
        for table, rows in tables.items():
            (folder / "book" / f"{table}.csv").write_text(rows, encoding="utf-8")
    return folder


def zone_of_night(zone: str, chance: float, *, treated: bool = False) -> dict[str, Any]:
    return {
        "zone": zone, "area": "4", "chance": chance, "low": chance / 2, "high": min(1.0, 1.5 * chance),
        "dead_share": 0.6 * chance, "causes": {"wet_freeze": 0.75, "cold": 0.25}, "treated": treated,
    }  # fmt: skip


def pull(zone: str, chance: float) -> dict[str, Any]:
    return {
        "kind": "pull", "zone": zone, "area": "4", "by": "2025-02-28", "number": 4, "spots": ["lowest"],
        "band": "parts", "reason": "day 41 under ice; wet_freeze", "chance": chance, "low": 0.2, "high": 0.5,
        "until": "2025-02-26",
    }  # fmt: skip


def night(
    on: str, chance: float, *, calls: bool = False, zone: str = "4 low", hindsight: bool = False
) -> dict[str, Any]:
    return {
        "course": "Testmoor", "on": on, "winter": WINTER, "version": "0.1.0", "hindsight": hindsight,
        "calls": [pull(zone, chance)] if calls else [], "held_back": [], "looks_wanted": [], "cannot_say": [],
        "verdicts_due": [], "changed_since": [],
        "data": {
            "weather_until": f"{on}T10:00", "age_hours": 3.0, "filled_hours": 6,
            "share_72h": {"air_temperature": 1.0, "precipitation": 1.0},
            "until_day": "2025-05-01", "ahead": "past winters",
            "zones": [zone_of_night(zone, chance), zone_of_night("4 open", chance / 10)],
        },
    }  # fmt: skip


def keep(folder: Path, record: dict[str, Any], run: str = "first") -> None:
    files = {"night.json": json.dumps(record, ensure_ascii=False)}
    write_night(folder, record["on"], files, {"run": run, "thresholds": "defaults"})


@pytest.fixture
def told(tmp_path: Path) -> Path:
    folder = course_folder(tmp_path / "course")
    for on, chance, calls in (
        ("2025-02-24", 0.1, False),
        ("2025-02-25", 0.4, True),
        ("2025-02-26", 0.45, True),
    ):
        keep(folder, night(on, chance, calls=calls))
    return folder


def test_the_first_page_answers_the_owner(told: Path) -> None:
    page = Page(season.run(told, WINTER).page)
    # by hand: (100 m2 x 0.6 + 400 m2 x 0.025) / 500 m2 = 14 %
    assert (
        "About 14 % of the greens surveyed was dead on Mon 12 May 2025 (10-18 %): 70 m² of 500 m²."
        in page.under("How bad was it?")
    )
    assert "2023-24 15 % (10-20 %)" in page.under("How bad was it?")
    assert "worst first: 4 low 50-70 %" in page.under("Where?")
    table = page.under("How much was dead, zone by zone")
    assert "4 low low spot 100 m² 50-70 % soaked crowns freezing hard" in table
    why = page.under("Why?")
    assert "put down to soaked crowns freezing hard 86 % and cause not known 14 %" in why
    assert (
        "The night of Wed 26 Feb 2025 put the harm it expected down to soaked crowns freezing hard 75 %"
        in why
    )
    known = page.under("What was known, and when?")
    assert (
        "no call to look; first call to pull plugs: 4 low on Tue 25 Feb, 76 days before its survey"
        in known.replace("No", "no")
    )
    assert "first plug dead or likely dead: 4 low" in known
    done = page.under("What was done?")
    assert (
        "Order sod" in done
        and "Cleared, covered or vented: 4 open" in done
        and "told Lee Roe" in page.under("Decisions and treated zones")
        and "4 open: Wed 20 Nov cover on, permeable (Ann Bell)" in page.under("Decisions and treated zones")
    )
    cost = page.under("What did it cost?")
    assert "nobody can say" in cost and "station.csv: found no such file" in cost, "no weather, no all-clear"
    assert "Repair first" in page.under("What next?")


def test_zones_tell_what_was_said_done_and_found(told: Path) -> None:
    record = season.run(told, WINTER).record
    low, other = record["zones"]
    rows = {row["date"]: row for row in low["timeline"]}
    assert rows["2025-02-25"]["said"] == [
        "PULL PLUGS (4) by Fri 28 Feb: day 41 under ice; soaked crowns freezing hard; "
        "about 2 in 5 (1 in 5 to 1 in 2) that more than a quarter of it is dead already "
        "(said on 2 nights, last on Wed 26 Feb)"
    ]
    assert rows["2025-01-14"]["done"] == ["ice 9 mm, clear, on 90 % of it (Ann Bell)"]
    assert rows["2025-01-15"]["done"] == ["snow 12 cm (Ann Bell)"]
    assert any(
        "1 likely dead" in line or "1 dead" in line for row in low["timeline"] for line in row["found"]
    )
    assert rows["2025-05-12"]["found"] == ["survey: 50-70 % dead; soaked crowns freezing hard (Ann Bell)"]
    assert (low["score"], other["score"]) == ("hit", "acted on")
    assert other["plugs"][0]["state"] == "alive"


def test_the_last_look_moves_what_was_known(told: Path) -> None:
    before = season.run(told, WINTER).record["zones"][1]["known"]["verdict"]
    assert before == "2025-03-04"
    with open_book(told) as book:
        rows = book.record().looks
        first = rows[(rows["plug"] == "2") & (rows["time"] == "2025-03-04T16:00")]["id"].iloc[0]
        book.correct("looks", int(first), known="2025-06-01T00:00", new_growth=0.0, colour="brown")
    assert season.run(told, WINTER).record["zones"][1]["known"]["verdict"] > before


def test_a_look_counts_from_the_day_it_was_written_down(told: Path) -> None:
    looks = (told / "book" / "looks.csv").read_text(encoding="utf-8")
    late = re.sub(r"(?m)^(2,.*),[^,]*$", r"\1,2025-03-25T12:00", looks)
    (told / "book" / "looks.csv").write_text(late, encoding="utf-8")
    low, other = season.run(told, WINTER).record["zones"]
    assert other["known"]["verdict"] == "2025-03-25"
    assert low["known"]["dead"] < "2025-03-25"


def test_the_same_folder_gives_the_same_bytes_and_a_log_line_less_does_not(
    told: Path, tmp_path: Path
) -> None:
    one = season.run(told, WINTER).path
    first = {p.name: p.read_bytes() for p in one.parent.iterdir()}
    assert set(first) == {"season.html", "season.json", "zones.csv", "calls.csv", "plugs.csv", "seen.csv"}
    season.run(told, WINTER)
    assert {p.name: p.read_bytes() for p in one.parent.iterdir()} == first
    copied = tmp_path / "elsewhere"
    shutil.copytree(told, copied, ignore=shutil.ignore_patterns("reports"))
    assert season.run(copied, WINTER).path.read_bytes() == first["season.html"]
    rows = (copied / "book" / "observations.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (copied / "book" / "observations.csv").write_text("".join(rows[:-1]), encoding="utf-8")
    assert season.run(copied, WINTER).path.read_bytes() != first["season.html"]


def test_nothing_is_left_beside_the_report_and_no_book_is_begun(told: Path) -> None:
    path = season.run(told, WINTER).path
    assert path == told / "reports" / "season-2024-25" / "season.html"
    assert sorted(p.name for p in told.iterdir()) == ["book", "course.toml", "nights", "reports"]


def test_later_runs_and_hindsight_are_not_what_was_said(told: Path) -> None:
    before = season.run(told, WINTER).record["zones"][0]["chances"]
    keep(told, night("2025-02-24", 0.99, calls=True), run="later")
    keep(told, night("2025-02-20", 0.99, calls=True, hindsight=True), run="hindsight")
    record = season.run(told, WINTER).record
    assert record["zones"][0]["chances"] == before
    assert record["zones"][0]["known"]["pull"] == "2025-02-25"
    assert (record["data"]["later_runs"], record["data"]["hindsight_runs"]) == (1, 1)


def test_data_health_counts_gaps_ages_and_missing_nights(told: Path) -> None:
    late = night("2025-03-01", 0.4)
    late["data"] |= {"age_hours": 30.0, "share_72h": {"air_temperature": 0.5, "precipitation": 1.0}}
    keep(told, late)
    data = season.run(told, WINTER).record["data"]
    assert data["missing"] == [{"first": "2025-02-27", "last": "2025-02-28", "days": 2}]
    assert (data["nights_with_gaps"], data["age_hours_median"], data["age_hours_most"]) == (1, 3.0, 30.0)
    assert (data["looks"], data["plugs"], data["void_batches"]) == (2, 2, [])


def test_a_night_nobody_can_read_is_named_and_left_out(told: Path) -> None:
    (told / "nights" / "2025-02-24" / "night.json").write_text("{half", encoding="utf-8")
    report = season.run(told, WINTER)
    assert report.record["data"]["unreadable"] == ["nights/2025-02-24/night.json"]
    assert "nights/2025-02-24/night.json" in report.page
    assert report.record["data"]["nights"] == 2


def test_without_nights_surveys_and_plugs_still_stand_and_the_way_to_nights_is_shown(tmp_path: Path) -> None:
    report = season.run(course_folder(tmp_path / "course"), WINTER)
    assert "Nights of this winter in the course folder: none." in report.page
    assert (
        "winterrisk nightly DIR --on DATE" in report.page
        and f"winterrisk backcast DIR {WINTER}" in report.page
    )
    assert "About 14 %" in report.page and "likely dead" in report.page
    assert "<svg" not in report.page
    assert {z["score"] for z in report.record["zones"]} == {"nothing said"}


def test_an_empty_winter_makes_nothing_up(tmp_path: Path) -> None:
    report = season.run(course_folder(tmp_path / "course", book=False), "2019-20")
    assert report.summary == (
        "No survey yet: the book has none of 2019-20, so how bad it was nobody can say.",
        "No night of this winter is in the course folder, so no call was made.",
        "Calls against the survey: no survey yet, so no call can be scored.",
    )
    assert "%" not in Page(report.page).under("How bad was it?")


def test_a_survey_of_one_zone_says_that_the_other_has_none(told: Path) -> None:
    rows = SURVEYS.splitlines(keepends=True)
    (told / "book" / "surveys.csv").write_text("".join([rows[0], rows[1]]), encoding="utf-8")
    report = season.run(told, WINTER)
    assert "No survey yet for 1 of 2 zones" in report.summary[0]
    assert "60 % of the greens surveyed" in report.summary[0]
    assert [z["score"] for z in report.record["zones"]] == ["hit", "no survey"]


def test_chances_where_nobody_could_say_are_marked_and_not_scored(told: Path) -> None:
    for path in (told / "nights").glob("*/night.json"):
        record = json.loads(path.read_text(encoding="utf-8"))
        record |= {"calls": [], "cannot_say": [{"zone": "4 low", "why": "no weather for 60 h"}]}
        path.write_text(json.dumps(record), encoding="utf-8")
    zone = season.run(told, WINTER).record["zones"][0]
    assert zone["score"] == "nothing said"
    assert zone["timeline"][-2]["date"] > "2025-02-24"
    assert any(
        "CANNOT SAY: no weather for 60 h (said on 3 nights" in s for r in zone["timeline"] for s in r["said"]
    )


HOSTILE = [
    '<script>alert("x")</script>',
    "<img src=x onerror=alert(1)>",
    'O\'Neil & "Sons" <b>',
    "$x^2$ 🌱 %s {{ 7*7 }}",
    "גרין נמוך",
    "a</title><svg onload=alert(1)>",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_names_are_shown_as_written_and_nothing_is_executed(tmp_path: Path, text: str) -> None:
    name = re.sub(r'[/\\,;:"_]', "", text)  # what a course file allows in a name
    folder = course_folder(tmp_path / "course", name=name, zone=name, station=text, book=False)
    (folder / "book").mkdir()
    quoted = '"' + text.replace('"', '""') + '"'
    decisions = f"time,text,reason,night,who,told\n2025-03-13T16:30,{quoted},{quoted},,{quoted},{quoted}\n"
    (folder / "book" / "decisions.csv").write_text(decisions, encoding="utf-8")
    record = night("2025-02-25", 0.4, calls=True, zone=f"4 {name}")
    record["calls"][0]["reason"] = text
    keep(folder, record)
    page = Page(season.run(folder, WINTER).page)
    harmless = course_folder(tmp_path / "plain", name="Plain", zone="low", station="yard", book=False)
    shutil.copytree(folder / "book", harmless / "book")
    plain_record = night("2025-02-25", 0.4, calls=True)
    keep(harmless, plain_record)
    assert page.tags == Page(season.run(harmless, WINTER).page).tags
    assert "script" not in page.tags and "img" not in page.tags
    assert text in page.under("What was done?")
    assert f"4 {name}" in page.under("Zone by zone") and text in page.under("Zone by zone")
    assert text in page.under("Assumptions, thresholds and sources")


def test_the_page_asks_nobody_for_anything_and_every_id_is_its_own(told: Path) -> None:
    page = Page(season.run(told, WINTER).page)
    assert all(link.startswith("#") for link in page.links)
    assert len(page.ids) == len(set(page.ids))
    assert {link[1:] for link in page.links} <= set(page.ids)
    assert "script" not in page.tags and "img" not in page.tags and "link" not in page.tags


def test_a_picture_carries_title_description_and_no_date(told: Path) -> None:
    text = season.run(told, WINTER).page
    assert text.count('role="img"') == 2
    assert (
        '<title id="p1-title">4 low: chance that more than a quarter is dead, night by night</title>' in text
    )
    assert "Highest 45 % on Wed 26 Feb 2025" in text
    assert "<metadata" not in text and "<dc:date" not in text
    assert re.search(r"<text[^>]*>found</text>", text)


def test_us_readers_get_feet_and_inches(tmp_path: Path) -> None:
    report = season.run(course_folder(tmp_path / "course", units="us"), WINTER)
    assert "750 ft² of 5,380 ft²" in report.summary[0]  # 70 and 500 m2
    assert "ice 0.4 in, clear" in report.page


@pytest.mark.parametrize("winter", ["2024", "2024-26", "winter", "", "../x", "2024-25/../../x"])
def test_a_winter_that_is_none_is_refused_and_nothing_is_written(told: Path, winter: str) -> None:
    with pytest.raises(Refused) as refused:
        season.run(told, winter)
    assert "expected a winter such as 2024-25" in str(refused.value)
    assert len(str(refused.value).splitlines()) == 1
    assert not (told / "reports").exists()


def test_a_folder_that_cannot_be_written_is_refused_with_nothing_half_written(told: Path) -> None:
    (told / "reports").write_text("a file in the way", encoding="utf-8")
    with pytest.raises(Refused, match="a folder that can be written"):
        season.run(told, WINTER)
    assert (told / "reports").read_text(encoding="utf-8") == "a file in the way"


def test_a_write_that_breaks_off_leaves_the_old_report(told: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = season.run(told, WINTER).path
    before = path.read_bytes()
    keep(told, night("2025-02-27", 0.6, calls=True))
    whole = Path.write_text

    def full(self: Path, data: str, **options: Any) -> int:
        if self.name == "season.json":
            raise OSError(28, "No space left on device")
        return whole(self, data, **options)

    monkeypatch.setattr(Path, "write_text", full)
    with pytest.raises(Refused, match="no space left"):
        season.run(told, WINTER)
    assert path.read_bytes() == before
    assert not [p.name for p in path.parent.iterdir() if p.name.startswith(".")]


def test_places_the_course_no_longer_has_are_named(told: Path) -> None:
    season.run(told, WINTER)
    with open_book(told):
        pass
    text = (told / "course.toml").read_text(encoding="utf-8").replace('name = "low"', 'name = "bowl"')
    (told / "course.toml").write_text(text, encoding="utf-8")
    report = season.run(told, WINTER)
    assert report.record["data"]["unknown_places"] == ["4 low"]
    assert "places course.toml does not have" in report.page


COMMAND = """
import sys
from pathlib import Path
from winterrisk.cli.season import season
season(Path(sys.argv[1]), "2024-25", json=len(sys.argv) > 2)
"""


@pytest.mark.parametrize("json_wanted", [False, True])
def test_the_command_is_silent_on_stderr_with_an_empty_home(told: Path, json_wanted: bool) -> None:
    settings = {k: v for k, v in os.environ.items() if not k.startswith(("MPL", "XDG"))} | {
        "HOME": os.devnull
    }
    arguments = [sys.executable, "-c", COMMAND, str(told), *(["json"] if json_wanted else [])]
    done = subprocess.run(
        arguments, env=settings, capture_output=True, text=True, check=True, encoding="utf-8"
    )
    lines = (done.stderr if json_wanted else done.stdout).splitlines()
    assert len(lines) == 7 and lines[0].endswith("season.html") and lines[6].startswith("season.pdf: ")
    if json_wanted:
        assert json.loads(done.stdout)["winter"] == WINTER
    else:
        assert done.stderr == ""


def test_everything_said_stays_as_it_was_when_the_thresholds_change(told: Path) -> None:
    before = copy.deepcopy(season.run(told, WINTER).record)
    (told / "course.toml").write_text(
        (told / "course.toml").read_text(encoding="utf-8").replace("size = 500", "size = 700"),
        encoding="utf-8",
    )
    after = season.run(told, WINTER).record
    for one, other in zip(before["zones"], after["zones"], strict=True):
        assert one["said"] == other["said"] and one["chances"] == other["chances"]


def test_a_picture_of_one_night_says_one_night() -> None:
    rows = [
        {"on": f"2025-02-{day}", "chance": c, "low": c - 0.1, "high": c + 0.1}
        for day, c in ((24, 0.3), (25, 0.5))
    ]
    _, one = picture_label({"zone": "4 low", "chances": rows[1:]})
    assert one.startswith("One night, Tue 25 Feb 2025. Highest 50 % on Tue 25 Feb 2025")
    _, two = picture_label({"zone": "4 low", "chances": rows})
    assert two.startswith("From Mon 24 Feb 2025 to Tue 25 Feb 2025, 2 nights. Highest 50 %")
