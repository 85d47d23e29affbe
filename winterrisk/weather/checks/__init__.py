"""Checks of a station's record: small functions that say what they found, and one that runs them all.

| file | looks for |
|---|---|
| future, clock | rows from the future; a clock that is off, or on summer time |
| unit_slips, depth_slips, amount_slips | stretches in another unit, and which |
| limits | what is impossible anywhere, or at this time of the year |
| extremes | zeros for missing, highest below lowest, too wide a range |
| flat | stuck sensors, streaks, days written twice |
| spikes, steps | jumps of one hour or day |
| humidity | dew point above the air |
| snow_depth | depths that jump, snow in warm air |
| cold_precipitation | water in deep cold, rain below -15 degC |
| neighbours | what a second source contradicts |
| confirm | lone values that would switch a way of dying on |
| gauge_heating | a gauge that looks unheated |
| moved | a station that moved |
| rows, telling, series, normals | what a check hands back, its sentence, what it looks at, what is usual |
| slip_edges, likely_unit | the edges of a slip, the unit that makes sense |
| checked | all of them in their order |

Verdicts: bad (missing in the working copy), suspect (kept, told), unconfirmed (kept, the night is marked), note
(about the record as a whole). The archive keeps everything.
Reference: Durre et al. (2010) J. Appl. Meteorol. Climatol. 49; Zahumensky (2004) WMO guidelines for automatic
stations; what is judged says so.
"""

from winterrisk.weather.checks.checked import Checked, checked, flagged_days
from winterrisk.weather.checks.future import future_rows
from winterrisk.weather.checks.moved import description_changed
from winterrisk.weather.checks.rows import ALL, COLUMNS, Verdict, without_bad

__all__ = [
    "ALL",
    "COLUMNS",
    "Checked",
    "Verdict",
    "checked",
    "description_changed",
    "flagged_days",
    "future_rows",
    "without_bad",
]
