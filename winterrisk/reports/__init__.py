"""Reports: the night and the season in words, pages and messages.

| file | holds |
|---|---|
| night_record | the night as plain values (night.json) |
| news | which nights are news |
| notices, notices_seen, notices_turf, notices_covers | corrections, conflicts, turf, covers, refused notes |
| alert | headline and body for the phone |
| night_page, night_beside, night_seen, night_files | the page behind the alert, and all files of a night |
| strip_series, strip_shapes, strip_words, read_said | days of a zone as strips, in words, and what past nights said |
| write_night | nights/DATE/, whole or not at all |
| words | chances, days and causes in plain words |
"""

from winterrisk.reports.alert import alert_text
from winterrisk.reports.night_beside import Beside, todays_work
from winterrisk.reports.night_files import data_record, night_files
from winterrisk.reports.night_record import night_record, zone_records
from winterrisk.reports.night_seen import seen_lately
from winterrisk.reports.notices import night_notices
from winterrisk.reports.notices_covers import cover_notices
from winterrisk.reports.read_nights import night_dates
from winterrisk.reports.read_said import read_said
from winterrisk.reports.strip_series import zone_strips
from winterrisk.reports.write_night import FolderError, previous_night, refuse_unwritable, write_night

__all__ = [
    "Beside",
    "FolderError",
    "alert_text",
    "cover_notices",
    "data_record",
    "night_dates",
    "night_files",
    "night_notices",
    "night_record",
    "previous_night",
    "read_said",
    "refuse_unwritable",
    "seen_lately",
    "todays_work",
    "write_night",
    "zone_records",
    "zone_strips",
]
