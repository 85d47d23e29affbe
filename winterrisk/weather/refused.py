"""The refusal that names a problem with the weather a person gave us."""

from winterrisk.science.faults import Refused


class WeatherError(Refused):
    """A weather record that cannot be used; one plain line a fault."""
