"""Small invented courses for the stories: two zones and part of the sample's invented weather."""

from pathlib import Path

COURSE = """# Invented course, people and weather.

[place]
name = "Small Moor"
latitude = 46.6
longitude = -95.0
elevation = 380
timezone = "America/Winnipeg"
invented = true

[[areas]]
name = "1"
kind = "green"
size = 400

[[areas.zones]]
name = "low"
template = "low spot"
share = 0.4

[[areas.zones]]
name = "ridge"
template = "ridge"
share = 0.6

[station]
file = "station.csv"
name = "Small Moor yard (invented)"
latitude = 46.6
longitude = -95.0
elevation = 378
step = "hourly"

[turf]
shares = {annual_bluegrass = 0.6, creeping_bent = 0.4}
"""

FIRST, LAST = "2023-07-01T00:00", "2024-01-20T00:00"
"""Hours of the sample's record that a small course has: less than one winter."""


def small_course(folder: Path, sample: Path, *, last: str = LAST) -> Path:
    """A folder with the small course's file and its stretch of the sample's hours, up to `last`."""
    folder.mkdir()
    (folder / "course.toml").write_text(COURSE, encoding="utf-8")
    rows = (sample / "station.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    kept = [row for row in rows if row.startswith(("#", "time")) or FIRST <= row[:16] < last]
    (folder / "station.csv").write_text("".join(kept), encoding="utf-8")
    return folder
