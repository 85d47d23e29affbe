"""Courses that strain a page: one zone, thirty-six greens, names that are quotes, emoji, right-to-left or markup."""

import datetime as dt
from pathlib import Path

from small_courses import COURSE, small_course

from winterrisk import nightly, season
from winterrisk.book import open_book
from winterrisk.course import read_course

AREA = """[[areas]]
name = {name}
kind = "green"
size = 400

[[areas.zones]]
name = {zone}
template = "low spot"
"""
MARKUP = "<script>window.ran=1</script>"
IMAGE = '"><img src=x onerror="window.ran=1">'
WRITTEN = f"ice & water {MARKUP} {IMAGE} \u202eצפון\u202c ❄️ 'so'"
STRANGE = (("<b>4", "l'o'w"), ("🏌️⛳", "מגרש"), ("5 & 6", "<svg onload=x>"))
NIGHT = dt.date(2024, 1, 19)
WINTER = "2023-24"
KNOWN = "2024-01-12T15:00"
FEW = nightly.Settings(n_ground=1, n_paths=2, n_draws=20)


def course_of(areas: list[tuple[str, str]], folder: Path, sample: Path) -> Path:
    """A small course with these areas, one zone each."""
    small_course(folder, sample)
    head, rest = COURSE.split("[[areas]]", 1)
    tail = rest[rest.index("[station]") :]
    said = "".join(AREA.format(name=_quoted(a), zone=_quoted(z)) + "\n" for a, z in areas)
    (folder / "course.toml").write_text(head + said + tail, encoding="utf-8")
    return folder


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


KINDS = {
    "one zone": [("1", "low")],
    "thirty-six greens": [(str(i), "low") for i in range(1, 37)],
    "strange names": list(STRANGE),
}


def pages_of(kind: str, folder: Path, sample: Path) -> dict[str, Path]:
    """Night page, page of the season and page of a winter nobody knows of, by name."""
    course = course_of(KINDS[kind], folder, sample)
    zone = read_course(course).zones()[0]
    with open_book(course, course=read_course(course)) as book:
        book.add_decision(known=KNOWN, time=KNOWN, text=WRITTEN, reason=WRITTEN, who=MARKUP, told=IMAGE)
        book.add_observation(
            known=KNOWN, time=KNOWN, zone=zone.name, area=zone.area, kind="ice_seen", value=8.0, unit="mm", share=1.0,
            who=WRITTEN,
        )  # fmt: skip
    night = nightly.run(course, NIGHT, send=False, settings=FEW)
    return {
        "night": night.folder / "page.html",
        "season": season.run(course, WINTER).path,
        "empty winter": season.run(course, "2019-20").path,
    }
