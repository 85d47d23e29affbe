"""The sample with three of its greens only: what the stories of a spring need, in a third of the time."""

import csv
import shutil
from pathlib import Path

import tomlkit

KEPT = ("4", "7", "8")


def spring_course(folder: Path, sample: Path) -> Path:
    """A folder with greens 4, 7 and 8 of the sample, its station and the rows of its book that speak of them."""
    folder.mkdir()
    (folder / "book").mkdir()
    shutil.copy(sample / "station.csv", folder / "station.csv")
    course = tomlkit.parse((sample / "course.toml").read_text(encoding="utf-8"))
    areas = tomlkit.aot()
    for area in course["areas"]:  # type: ignore[union-attr]
        if area["name"] in KEPT:
            areas.append(area)
    course["areas"] = areas
    (folder / "course.toml").write_text(tomlkit.dumps(course), encoding="utf-8")
    plugs: set[str] = set()
    for name in ("plugs", "looks", "batches", "observations", "surveys", "decisions"):
        _rows(sample / "book" / f"{name}.csv", folder / "book" / f"{name}.csv", plugs)
    return folder


def _rows(source: Path, target: Path, plugs: set[str]) -> None:
    lines = source.read_text(encoding="utf-8").splitlines(keepends=True)
    comments = [line for line in lines if line.startswith("#")]
    table = list(csv.reader(line for line in lines if not line.startswith("#")))
    head, rows = table[0], table[1:]
    if "area" in head:
        rows = [row for row in rows if row[head.index("area")] in KEPT]
    if source.stem == "plugs":
        plugs |= {row[head.index("id")] for row in rows}
    if source.stem == "looks":
        rows = [row for row in rows if row[head.index("plug")] in plugs]
    with target.open("w", encoding="utf-8", newline="") as file:
        file.writelines(comments)
        csv.writer(file, lineterminator="\n").writerows([head, *rows])
