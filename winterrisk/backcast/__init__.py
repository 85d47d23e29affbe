"""Past winters: night by night on what was known then, and whole, on all that is known today.

| file | holds |
|---|---|
| nights | the nights of a winter as they would have been said, branching in memory |
| crown_scores | crown temperatures a probe saw against the possible winters |
| kept_replays | replays kept by their content, so that a second fit is quick |
| on_record | which winters a record holds, how much of each, and why one cannot be judged |
| replay | a whole winter on all that is known: days, harm, chances by spring |
| worst_day | what did it in a zone, and on which day |
| winter_row | one winter's figures |
| forecasts | what stands for the days ahead of a past night |
| calls | how often a winter's nights would have called |
| all_winters | every winter on record, over the cores |
| table | the figures as lines, as a table for files, as one object |
"""

from winterrisk.backcast.all_winters import AllWinters, all_winters, whole_record
from winterrisk.backcast.crown_scores import crown_scores
from winterrisk.backcast.forecasts import days_ahead
from winterrisk.backcast.nights import (
    SMALL,
    backcast,
    backcast_nights,
    nights_of,
    nights_under,
    read_work,
    winters,
)
from winterrisk.backcast.on_record import MOST_LATE, OnRecord, on_record
from winterrisk.backcast.replay import REPLAYED, Replay, replay

__all__ = [
    "MOST_LATE",
    "REPLAYED",
    "SMALL",
    "AllWinters",
    "OnRecord",
    "Replay",
    "all_winters",
    "backcast",
    "backcast_nights",
    "crown_scores",
    "days_ahead",
    "nights_of",
    "nights_under",
    "on_record",
    "read_work",
    "replay",
    "whole_record",
    "winters",
]
