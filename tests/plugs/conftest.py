"""Plugs of an invented course."""

from collections.abc import Callable, Sequence

import numpy as np
import pytest

from winterrisk.plugs import Batch, Look, Plug

WARM = np.datetime64("2025-01-10T08:00:00")
CUT = np.datetime64("2025-01-09T14:00:00")


@pytest.fixture
def batch() -> Batch:
    return Batch("B1", WARM, "sill", 20.0, 9.0, 3.0)


@pytest.fixture
def plug() -> Callable[..., Plug]:
    def build(id: str = "P1", **changes: object) -> Plug:
        return Plug(**{"id": id, "zone": "4 low", "cut": CUT, "crowns": "yes", "batch": "B1", **changes})  # type: ignore[arg-type]

    return build


@pytest.fixture
def looks() -> Callable[..., list[Look]]:
    def build(
        id: str, growth: dict[float, float], species: str = "all", colours: Sequence[str] = ()
    ) -> list[Look]:
        days = list(growth.items())
        return [
            Look(
                id, WARM + np.timedelta64(round(day * 24), "h"), species, value, colours[i] if colours else ""
            )
            for i, (day, value) in enumerate(days)
        ]

    return build


@pytest.fixture
def day() -> Callable[[float], np.datetime64]:
    return lambda days: WARM + np.timedelta64(round(days * 24), "h")
