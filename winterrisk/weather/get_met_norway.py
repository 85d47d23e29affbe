"""MET Norway's location forecast for a place anywhere: no key, only a contact."""

from collections.abc import Mapping
from typing import Final

import numpy as np

from winterrisk.weather.forecast_time_series import SOURCE, time_series_forecast
from winterrisk.weather.get_answer import FIRST_PAUSE, PATIENCE, READ_TIMEOUT, Answer, get_answer
from winterrisk.weather.get_nws import Fetched

BASE: Final = "https://api.met.no/weatherapi"
REFUSALS: Final = {
    403: 'name a contact the service accepts: course.toml [forecast] contact = "you@your-club.example"',
    404: "this version of the service is gone: see whether a newer version of this program knows it",
    422: "the service does not cover this place",
}
DECIMALS: Final = 4
"""The service refuses more decimals of a degree: they would defeat its caches."""


def get_met_norway(
    latitude: float,
    longitude: float,
    elevation: float,
    *,
    contact: str,
    last: Mapping[str, Answer] | None = None,
    base: str = BASE,
    patience: float = PATIENCE,
    first_pause: float = FIRST_PAUSE,
    read_timeout: float = READ_TIMEOUT,
) -> Fetched:
    """The forecast (time) for a place, about nine days, with the answer it was read from.

    An answer that has not expired is not asked for again; an expired one only if it has changed.

    Args:
        latitude, longitude [degrees], elevation [m]; contact: the course's e-mail or web address.
        last: answers of an earlier call. base: another start of the addresses, https or loopback.
        patience, first_pause, read_timeout [s]: how long failures are repeated, and limits of one attempt.
    Raises:
        WeatherError: no contact, a refusal, nothing usable in time, or an answer in another form.
    """
    where = f"lat={latitude:.{DECIMALS}f}&lon={longitude:.{DECIMALS}f}&altitude={round(elevation)}"
    url = f"{base}/locationforecast/2.0/complete?{where}"
    answer = get_answer(
        url,
        service=SOURCE,
        contact=contact,
        base=base,
        last=(last or {}).get(url),
        patience=patience,
        first_pause=first_pause,
        read_timeout=read_timeout,
        refusals=REFUSALS,
    )
    forecast = time_series_forecast(answer.content, np.datetime64(answer.received), elevation)
    if answer.status == 203:
        told = "the service calls this version outdated: look for a newer version of this program"
        forecast.attrs["doubt"] = "; ".join(w for w in (str(forecast.attrs.get("doubt", "")), told) if w)
    return Fetched(forecast, {url: answer})
