"""The season's page as a plain PDF, drawn with matplotlib alone: every word, table and picture in order."""

import io
import warnings
from collections.abc import Mapping
from typing import Any

from winterrisk.reports.page_blocks import page_blocks
from winterrisk.reports.season_page import picture_label
from winterrisk.reports.write_season import own_settings


def plain_pdf(page: str, season: Mapping[str, Any]) -> bytes:
    """A PDF (A4) of the page. The same page gives the same bytes.

    Args:
        page: HTML. season: its record, from which the pictures are drawn.
    """
    with own_settings(), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing")
        from matplotlib import rc_context
        from matplotlib.backends.backend_pdf import PdfPages

        from winterrisk.reports.figures import SETTINGS, chance_figure, season_span
        from winterrisk.reports.plain_pages import plain_pages

        span = season_span(season["zones"])
        zones = [zone for zone in season["zones"] if zone["chances"]] if span else []
        drawings = {picture_label(zone)[0]: chance_figure(zone, span) for zone in zones if span}
        title = f"{season['course']}: the winter {season['winter']}"
        written = io.BytesIO()
        with rc_context({**SETTINGS, "pdf.fonttype": 42}):
            pages = plain_pages(page_blocks(page), drawings, title)
            with PdfPages(written, metadata={"Title": title, "CreationDate": None}) as pdf:
                for figure in pages:
                    pdf.savefig(figure)
    return written.getvalue()
