"""course.toml, README.md and the head of station.csv of the invented course, as text."""

from __future__ import annotations

from .place import (
    AREAS,
    ASSISTANT,
    CHAIR,
    ELEVATION,
    LATITUDE,
    LONGITUDE,
    NAME,
    SUPERINTENDENT,
    TIMEZONE,
    ZONES,
    Area,
)

STATION_HEAD = f"""\
# Invented weather of the invented place {NAME}: made by make_sample.py, measured by nobody.
# Time: UTC, start of the hour. Hours that are not here were not recorded.
# Units: air_temperature degC, dew_point degC, wind_speed m s-1 at 10 m, precipitation mm (heated gauge),
# shortwave_down W m-2, snow_depth m.
"""

BOOK_HEAD = f"# Invented: no such people, turf or {NAME}; made by make_sample.py.\n"

_HEAD = f"""\
# {NAME}: an invented course with invented people and invented weather. Nothing here exists.

[place]
name = "{NAME}"
id = "{NAME.lower()}"
latitude = {LATITUDE}
longitude = {LONGITUDE}
elevation = {ELEVATION:.0f}
timezone = "{TIMEZONE}"
units = "metric"
preset = "inland Canada"
invented = true

[station]
file = "station.csv"
name = "{NAME} yard (invented)"
latitude = {LATITUDE + 0.003:.3f}
longitude = {LONGITUDE + 0.004:.3f}
elevation = {ELEVATION - 2:.0f}
step = "hourly"
height_temperature = 2
height_wind = 10
height_from = "ground"
delimiter = ","
missing = ["", "NA"]
provider = "invented"
licence = "invented data, free to use"
label = "start"
utc_offset = 0

[station.columns]
time = "time"
air_temperature = {{column = "air_temperature", unit = "degC"}}
dew_point = {{column = "dew_point", unit = "degC"}}
wind_speed = {{column = "wind_speed", unit = "m/s"}}
precipitation = {{column = "precipitation", unit = "mm"}}
shortwave_down = {{column = "shortwave_down", unit = "W/m2"}}
snow_depth = {{column = "snow_depth", unit = "m"}}

[turf]
shares = {{annual_bluegrass = 0.6, creeping_bent = 0.4}}
biotype = "plain"
snow_mould_spray = true
background = "Invented: shares guessed by eye on every green in September 2023."

[gauge]
kind = "heated"
shield = true
day_ends = 7

[forecast]
source = "none"

[plug_room]
kind = "sill"
temperature = 19
light_hours = 10
light_mol = 6.5

[covers]
kind = "permeable"
areas = ["8"]
vents = false
note = "Since November 2024; the rim is the zone 8 edge."

[crew]
people = 2
hours = 7
days = ["Mon", "Tue", "Wed", "Thu", "Fri"]

[away]
periods = [{{first = 2025-01-25, last = 2025-02-02}}, {{first = 2026-02-07, last = 2026-02-11}}]
stand_in = "{ASSISTANT}"

[[people]]
name = "{SUPERINTENDENT}"
role = "superintendent (invented)"
address = "mailto:inga.varrow@example.invalid"
language = "en"

[[people]]
name = "{ASSISTANT}"
role = "assistant (invented)"
address = "mailto:tobin.hale@example.invalid"
language = "en"
second = true

[money]
currency = "CAD"
prepare = 4000
loss_unprepared = 25200
loss_prepared = 10800
trip = 60
plug = 20

[calendar]
seed_order = "03-01"
sod_order = "03-20"
opening = "04-28"

[checks]
strips = ["8 edge"]
note = "Left open along the north rim of the cover, staked."

[[past_injury]]
winter = "2013-14"
area = "4"
zone = "low"
dead = 0.8
cause = "ice"

[[past_injury]]
winter = "2018-19"
area = "7"
zone = "low"
dead = 0.4
cause = "unknown"
"""


def _turf(area: Area) -> str:
    parts = {"annual_bluegrass": area.bluegrass, "creeping_bent": round(1 - area.bluegrass, 2)}
    return "{" + ", ".join(f"{name} = {share}" for name, share in parts.items() if share > 0) + "}"


def course_toml() -> str:
    """The course file."""
    out = [_HEAD]
    for area in AREAS:
        out.append(
            f'\n[[areas]]\nname = "{area.name}"\nkind = "{area.kind}"\nsize = {area.size}\n'
            f'build = "{area.build}"\n'
            f"thatch = {area.thatch}\nturf = {_turf(area)}\n"
        )
        for zone in (z for z in ZONES if z.area == area.name):
            lines = [
                f'name = "{zone.name}"',
                f'template = "{zone.template}"',
                f"share = {zone.share}",
                zone.seen,
            ]
            out.append("\n[[areas.zones]]\n" + "\n".join(line for line in lines if line) + "\n")
    return "".join(out)


README = f"""\
# {NAME}, an invented course

Everything in this folder is invented: the place, the people ({SUPERINTENDENT}, {ASSISTANT}, {CHAIR}), the
weather, the observations and the plugs. It shows the program at work; it proves nothing about real turf.

Remake it with `python make_sample.py` (numpy and pandas only). The same seed writes the same bytes. The
hidden truth is a plain daily bookkeeping of snow, ice, soaking and kill in `sample_parts/truth.py` with
thresholds of its own; the program never reads it.

| file | holds |
|---|---|
| `course.toml` | nine greens and a nursery, {len(ZONES)} zones, people, money, dates |
| `station.csv` | hourly weather, 1 July 2020 to 28 February 2026, UTC |
| `book/*.csv` | observations, plugs, batches, looks, spring surveys, decisions |

| winter | what it is |
|---|---|
| 2020-21 | ordinary, steady snow, little harm; the record has no rows for 11-14 February 2021 |
| 2021-22 | benign: cool dry autumn, early snow on frozen ground, gentle melt |
| 2022-23 | long ice: rain on 18-20 December, then frost; eleven weeks sealed; 1 low cleared on 30 January |
| 2023-24 | rain on snow 25-27 January, then frost; 6 h missing on 28 January; sensor stuck 15-22 February |
| 2024-25 | bad: ice from 6 January, thaw and rain 19-22 February, soaked turf frozen hard 24-25 February |
| 2025-26 | the current one: little snow, rain on 8-9 January, ice in the lows since; ends on 28 February |

Treated zones: 1 low (cleared by hand, 2022-23) and 8 open (permeable cover, since November 2024). Batch 9
is void (the sill froze); one plug of batch 8 was misread (green stain taken for growth).
"""
