"""Course: what a superintendent tells about the place, the greens and the spots on them.

| file | holds |
|---|---|
| read_course | read_course(path): course.toml from disk, every fault at once |
| course | Course: zones(), zone(label), zone_labels(), turf(), folder, timezone |
| place, area, station, sections, season_dates | one model a section of course.toml |
| templates, presets, shade, directions | words for spots, regions and shade, in numbers |
| zone_view | ZoneView: a zone with every question answered |
| grasses, scope | names of grasses; what is covered and what is refused |
| section, agreement, course_faults | how the file is checked and its faults told |
| spoken_for | which zones a row of the book holds for |
| calendar | winters, local days, the hour a night is worked at |
| doubts, record_doubts | what a readable file or record leaves out or makes doubtful |
| starter, write_course, reference | the starter file; the page on every key |
"""

from winterrisk.course.agreement import zone_label
from winterrisk.course.area import Area, Zone
from winterrisk.course.calendar import (
    day_hours,
    day_start,
    local_days,
    night_instant,
    replay_start,
    utc_instant,
    winter_end,
    winter_of,
    winter_start,
)
from winterrisk.course.course import Course, UnknownZone
from winterrisk.course.course_faults import COURSE_FILE, CourseFileError
from winterrisk.course.doubts import Doubt, doubts
from winterrisk.course.grasses import is_warm_season, species_meant
from winterrisk.course.place import Place, slug
from winterrisk.course.presets import PRESETS, Preset
from winterrisk.course.read_course import course_from_text, read_course
from winterrisk.course.record_doubts import record_doubts
from winterrisk.course.reference import course_file_reference
from winterrisk.course.scope import SCOPE
from winterrisk.course.season_dates import day_in_winter
from winterrisk.course.sections import WEEKDAYS
from winterrisk.course.spoken_for import speaks_for
from winterrisk.course.starter import starter
from winterrisk.course.station import UNITS_OF, Station
from winterrisk.course.templates import TEMPLATES, Template
from winterrisk.course.write_course import write_course
from winterrisk.course.zone_view import ZoneView

__all__ = [
    "COURSE_FILE",
    "PRESETS",
    "SCOPE",
    "TEMPLATES",
    "UNITS_OF",
    "WEEKDAYS",
    "Area",
    "Course",
    "CourseFileError",
    "Doubt",
    "Place",
    "Preset",
    "Station",
    "Template",
    "UnknownZone",
    "Zone",
    "ZoneView",
    "course_file_reference",
    "course_from_text",
    "day_hours",
    "day_in_winter",
    "day_start",
    "doubts",
    "is_warm_season",
    "local_days",
    "night_instant",
    "read_course",
    "record_doubts",
    "replay_start",
    "slug",
    "speaks_for",
    "species_meant",
    "starter",
    "utc_instant",
    "winter_end",
    "winter_of",
    "winter_start",
    "write_course",
    "zone_label",
]
