"""An owner who reads the first page only: six answers, found by their headings, true to the raw logs and the course
file. The answers are worked out here from the CSV files, with pandas, apart from the package."""

import datetime as dt
import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from page_text import Page

from winterrisk import nightly, season

WINTER = "2024-25"
FEW = nightly.Settings(n_ground=1, n_paths=2, n_draws=30)
HEADINGS = (
    "How bad was it?", "Where?", "Why?", "What was known, and when?", "What was done?", "What did it cost?",
    "What next?",
)  # fmt: skip
CAUSES = {
    "wet_freeze": "soaked crowns freezing hard",
    "mixed": "ice and wet freezing together",
    "unknown": "cause not known",
}


@pytest.fixture(scope="module")
def told(
    tmp_path_factory: pytest.TempPathFactory, copy_of_sample: Callable[[Path], Path]
) -> tuple[Page, Path]:
    """The first page of the sample's bad winter, and the course folder."""
    course = copy_of_sample(tmp_path_factory.mktemp("owner") / "course")
    nightly.run(course, dt.date(2025, 2, 26), send=False, settings=FEW)
    page = season.run(course, WINTER).page
    return Page(page[: page.index('<section id="where"')]), course


@pytest.fixture(scope="module")
def zones(told: tuple[Page, Path]) -> pd.DataFrame:
    """Size [m2], kind, surveyed middle of the dead share and cause of every zone, from the raw files."""
    course = tomllib.loads((told[1] / "course.toml").read_text(encoding="utf-8"))
    rows = []
    for area in course["areas"]:
        given = sum(z.get("share", 0) for z in area["zones"])
        without = [z for z in area["zones"] if "share" not in z]
        for zone in area["zones"]:
            share = zone.get("share", (1 - given) / max(1, len(without)))
            rows.append((f"{area['name']} {zone['name']}", area["kind"], share * area["size"]))
    table = pd.DataFrame(rows, columns=["zone", "kind", "size"]).set_index("zone")
    surveys = pd.read_csv(told[1] / "book" / "surveys.csv", comment="#")
    surveys = surveys[surveys["winter"] == WINTER].astype({"area": str})
    surveys = surveys.set_index(surveys["area"] + " " + surveys["zone"])
    table["dead"] = (surveys["dead_low"] + surveys["dead_high"]) / 2
    return table.join(surveys[["cause"]])


def test_the_headings_stand_in_the_order_of_the_questions(told: tuple[Page, Path]) -> None:
    assert tuple(h for h in told[0].sections if h) == HEADINGS


def test_how_bad(told: tuple[Page, Path], zones: pd.DataFrame) -> None:
    greens = zones[zones["kind"] == "green"]
    dead = (greens["dead"] * greens["size"]).sum()
    words = told[0].under("How bad was it?")
    share, area = (
        float(v.replace(",", "")) for v in re.search(r"About ([\d.]+) % .*?: ([\d,]+) m²", words).groups()
    )  # type: ignore[union-attr]
    assert share == pytest.approx(100 * dead / greens["size"].sum(), abs=0.5)
    assert area == pytest.approx(dead, abs=1.0)


def test_where(told: tuple[Page, Path], zones: pd.DataFrame) -> None:
    words = told[0].under("Where?")
    badly = zones[zones["dead"] > 0.25]
    first = re.search(r"worst first: (\S+ \S+)", words).group(1)  # type: ignore[union-attr]
    assert zones["dead"][first] == zones["dead"].max()
    named = [zone for zone in zones.index if f"{zone} " in words]
    rest = int(re.search(r"and (\d+) more", words).group(1))  # type: ignore[union-attr]
    assert set(named) <= set(badly.index) and len(named) + rest == len(badly)


def test_why(told: tuple[Page, Path], zones: pd.DataFrame) -> None:
    greens = zones[zones["kind"] == "green"]
    area = (greens["dead"] * greens["size"]).groupby(greens["cause"]).sum().sort_values(ascending=False)
    words = told[0].under("Why?")
    for cause, dead in area[area / area.sum() > 0.02].items():
        assert f"{100 * dead / area.sum():.0f} %" in words.split(CAUSES[str(cause)])[1][:60], cause


def test_when_it_was_known(told: tuple[Page, Path]) -> None:
    words = told[0].under("What was known, and when?")
    course = told[1]
    plugs = pd.read_csv(course / "book" / "plugs.csv", comment="#")
    looks = pd.read_csv(course / "book" / "looks.csv", comment="#")
    place, day, days = re.search(
        r"dead or likely dead: (\S+ \S+) on \w+ (\d+ \w+), (\d+) days before", words
    ).groups()  # type: ignore[union-attr]
    when = dt.datetime.strptime(f"{day} 2025", "%d %b %Y").date()
    assert (dt.date(2025, 5, 12) - when).days == int(days)
    ids = plugs[(plugs["area"].astype(str) + " " + plugs["zone"] == place) & (plugs["cut"] > "2024-07")]["id"]
    there = looks[looks["plug"].isin(ids) & (looks["known"] <= f"{when}T23:59")]
    assert there["new_growth"].min() == 0, "a plug without new growth had been read by that day"
    night = re.search(
        r"first call to (?:look|pull plugs): \S+ \S+ on \w+ (\d+ \w+)", words, re.IGNORECASE
    ).group(1)  # type: ignore[union-attr]
    assert night == "26 Feb", "the only night of the folder"


def test_what_was_done(told: tuple[Page, Path]) -> None:
    decisions = pd.read_csv(told[1] / "book" / "decisions.csv", comment="#")
    own = decisions[decisions["time"].between("2024-07", "2025-07")]["text"]
    assert len(own) > 0 and all(text in told[0].under("What was done?") for text in own)


def test_what_it_cost(told: tuple[Page, Path]) -> None:
    words = told[0].under("What did it cost?")
    course = tomllib.loads((told[1] / "course.toml").read_text(encoding="utf-8"))
    money = course["money"]
    greens = int(re.search(r"on (\d+) greens", words).group(1))  # type: ignore[union-attr]
    for figure in ("loss_prepared", "loss_unprepared"):
        assert f"CAD {greens * money[figure]:,.0f}" in words
    month, day = (int(v) for v in course["calendar"]["opening"].split("-"))
    assert f"{dt.date(2025, month, day):%a} {day} {dt.date(2025, month, day):%b} 2025" in words
    plugs = pd.read_csv(told[1] / "book" / "plugs.csv", comment="#")
    own = plugs[plugs["cut"].between("2024-07", "2025-07")]
    trips = (
        pd.to_datetime(own["cut"]).dt.tz_localize("UTC").dt.tz_convert("America/Winnipeg").dt.date.nunique()
    )
    assert (
        f"CAD {trips * money['trip'] + len(own) * money['plug']:,.0f}"
        in words.split("Plugs of the winter:")[1]
    )


def test_what_next(told: tuple[Page, Path], zones: pd.DataFrame) -> None:
    words = told[0].under("What next?")
    worst = zones.sort_values("dead", ascending=False).index[0]
    repair = words.split("Repair first")[1].split("Thin in places")[0]
    assert zones["dead"][[z for z in zones.index if z in repair]].min() > 0.25 and worst in repair
