"""How fast verdicts and the list of plugs are: `python tests/book/benchmark_book.py`; not part of the tests."""

import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

from winterrisk.book import Typed, open_book, plug_list
from winterrisk.course import read_course, starter
from winterrisk.plugs import verdict

PLUGS, YEARS = 5000, 20
TWO_A_WEEK, MANY = 48, 120
"""Plugs a winter: two a week from November to April, and a course that pulls far more."""


def timed(what: str, work: object) -> None:
    begin = time.perf_counter()
    work()  # type: ignore[operator]
    print(f"{what}: {time.perf_counter() - begin:.2f} s")


def tables(count: int) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Plugs of ten zones in batches of six, looked at on four days, about a third of them never green."""
    cut = np.datetime64("2010-01-05T15:00", "s") + (np.arange(count) // 6) * np.timedelta64(2, "D")
    ids = [f"P{i + 1}" for i in range(count)]
    plugs = pd.DataFrame(
        {
            "id": ids, "area": "4", "zone": [f"4 z{i % 10}" for i in range(count)], "spot": "", "cut": cut,
            "depth_mm": 50.0, "crowns": "yes", "control": np.arange(count) % 6 == 5, "ice_mm": np.nan,
            "batch": [f"B{i // 6}" for i in range(count)], "label": "", "who": "", "known": cut,
        }
    )  # fmt: skip
    day = np.array([3, 5, 7, 10])
    green = np.where((np.arange(count) % 3 == 0)[:, None], 0.0, np.clip((day - 3) / 5, 0, 1)[None, :])
    looks = pd.DataFrame(
        {
            "plug": np.repeat(ids, 4),
            "time": (cut[:, None] + day[None, :] * np.timedelta64(1, "D")).ravel(),
            "species": "all", "new_growth": green.ravel(), "colour": "", "smell": "", "who": "",
        }
    )  # fmt: skip
    return plugs, looks.assign(known=looks["time"])


def main() -> None:
    """Prints the two figures of the page on speed."""
    plugs, looks = tables(PLUGS)
    verdict(plugs.iloc[:6], looks.iloc[:24], batch=None, priors=0.2, on=np.datetime64("2040-01-01"))
    timed(
        f"{PLUGS} verdicts",
        lambda: verdict(plugs, looks, batch=None, priors=0.2, on=np.datetime64("2040-01-01")),
    )
    for every_winter in (TWO_A_WEEK, MANY):
        with tempfile.TemporaryDirectory() as folder:
            listed(Path(folder), every_winter)


def listed(home: Path, every_winter: int) -> None:
    """Prints how long the list of twenty winters takes, read from the book and judged."""
    (home / "course.toml").write_text(starter(), encoding="utf-8")
    course = read_course(home)
    zone = course.zones()[0]
    plugs, looks = tables(YEARS * every_winter)
    (home / "book").mkdir()
    batches = plugs.groupby("batch", as_index=False)["cut"].first()
    batches = batches.rename(columns={"batch": "id", "cut": "warm_from"})
    batches.assign(room="sill", temperature=19.0).to_csv(home / "book" / "batches.csv", index=False)
    plugs.assign(area=zone.area, zone=zone.name).to_csv(home / "book" / "plugs.csv", index=False)
    looks.to_csv(home / "book" / "looks.csv", index=False)
    with open_book(home, course=course) as book:
        typed = Typed(np.datetime64("2040-06-01T12:00"), course.timezone)
        what = f"list of {YEARS} years of {every_winter} plugs, {len(looks)} looks"
        plug_list(book.record(), typed, everything=True)
        timed(what, lambda: plug_list(book.record(), typed, everything=True))


if __name__ == "__main__":
    main()
