"""Reports: the night and the season in words, pages and messages.

| file | holds |
|---|---|
| night_record | the night as plain values (night.json) |
| news | which nights are news |
| notices, notices_seen, notices_turf, notices_covers | corrections, conflicts, turf, covers, refused notes |
| alert | headline and body for the phone |
| night_page, night_files | the page behind the alert; all files of a night |
| write_night | nights/DATE/, whole or not at all |
| send_night, send_news | messages to the people of the course file; once, and again where they failed |
| words | chances, days and causes in plain words |
"""

from winterrisk.reports.alert import alert_text
from winterrisk.reports.night_files import data_record, night_files
from winterrisk.reports.night_record import night_record, zone_records
from winterrisk.reports.notices import night_notices
from winterrisk.reports.notices_covers import cover_notices
from winterrisk.reports.send_news import send_news
from winterrisk.reports.write_night import FolderError, previous_night, refuse_unwritable, write_night

__all__ = [
    "FolderError",
    "alert_text",
    "cover_notices",
    "data_record",
    "night_files",
    "night_notices",
    "night_record",
    "previous_night",
    "refuse_unwritable",
    "send_news",
    "write_night",
    "zone_records",
]
