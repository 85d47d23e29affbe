"""Pages of the sample for the browser: a night and a season, written as a user would have them."""

import datetime as dt
from pathlib import Path

from winterrisk import nightly, season

NIGHTS = (dt.date(2025, 2, 24), dt.date(2025, 2, 25))
FEW = nightly.Settings(n_ground=1, n_paths=2, n_draws=30)
"""Fewer possible winters than a night's: the page is the same."""


def sample_pages(course: Path) -> dict[str, Path]:
    """Paths of the night's page and of the season's page, by name, of a copy of the sample."""
    for on in NIGHTS:
        night = nightly.run(course, on, send=False, settings=FEW)
    told = season.run(course, "2024-25", quick=True)
    return {"night": night.folder / "page.html", "season": told.path}
