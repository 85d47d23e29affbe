"""When a person may be disturbed."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np

MINUTE = dt.timedelta(minutes=1)


def after_quiet(instant: np.datetime64, quiet: str, timezone: str) -> np.datetime64:
    """The instant itself, or the end of the quiet hours it falls in [UTC].

    Args:
        instant: UTC. quiet: local hours such as "21:00-06:30", empty for none; they may pass midnight.
        timezone: IANA name; an end that the clocks skip is the first minute after.
    """
    if not quiet:
        return instant
    begins, ends = (dt.time.fromisoformat(part) for part in quiet.split("-"))
    zone = ZoneInfo(timezone)
    local = instant.astype("datetime64[s]").item().replace(tzinfo=dt.UTC).astimezone(zone)
    clock = local.time().replace(tzinfo=None)
    overnight = begins > ends
    within = (clock >= begins or clock < ends) if overnight else begins <= clock < ends
    if not within:
        return instant
    day = local.date() + dt.timedelta(days=1 if overnight and clock >= begins else 0)
    ended = dt.datetime.combine(day, ends, zone).astimezone(dt.UTC).replace(tzinfo=None)
    return max(instant, np.datetime64(ended, "s"))
