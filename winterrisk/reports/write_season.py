"""Draws the pictures of a season."""

import contextlib
import io
import logging
import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from winterrisk.reports.season_page import labelled

CONFIG = "MPLCONFIGDIR"


@contextlib.contextmanager
def own_settings() -> Iterator[None]:
    """matplotlib with a folder of its own where the user's cannot be written, and without its chatter."""
    log = logging.getLogger("matplotlib")
    level = log.level
    log.setLevel(logging.ERROR)
    before = os.environ.get(CONFIG)
    private = None if _writable(before) else tempfile.mkdtemp(prefix="winterrisk-")
    if private:
        os.environ[CONFIG] = private
    try:
        yield
    finally:
        log.setLevel(level)
        if private:
            shutil.rmtree(private, ignore_errors=True)
            if before is None:
                del os.environ[CONFIG]
            else:
                os.environ[CONFIG] = before


def _writable(chosen: str | None) -> bool:
    try:
        folder = Path(chosen) if chosen else Path.home()
    except RuntimeError:
        return False
    return folder.is_dir() and os.access(folder, os.W_OK)


def season_pictures(season: Mapping[str, Any]) -> dict[str, str]:
    """SVG text of every zone's picture, by zone label; none where no night of the winter was worked.

    The same record gives the same bytes.
    """
    if not season["data"]["nights"]:
        return {}
    with own_settings():
        from matplotlib import rc_context

        from winterrisk.reports.figures import SETTINGS, chance_figure, season_span

        zones = season["zones"]
        span = season_span(zones)
        pictures = {}
        for number, zone in enumerate(zones, start=1):
            if span is None or not zone["chances"]:
                continue
            text = io.StringIO()
            figure = chance_figure(zone, span)
            with rc_context(SETTINGS):
                figure.savefig(text, format="svg", metadata={"Date": None, "Creator": None})
            pictures[zone["zone"]] = labelled(text.getvalue(), zone, number)
    return pictures
