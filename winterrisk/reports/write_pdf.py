"""The page as a PDF: laid out as it prints where WeasyPrint and Pango are there, else in plain pages."""

import contextlib
import hashlib
import io
import logging
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final, NoReturn

from winterrisk.reports.pdf_style import PDF_STYLE, with_breaks
from winterrisk.reports.write_plain_pdf import plain_pdf

PRINTED: Final = "as the page prints, by WeasyPrint"
PLAIN: Final = "plain pages"
VARIANT: Final = "pdf/ua-1"
"""Tagged, so that it can be read aloud."""
EPOCH: Final = "SOURCE_DATE_EPOCH"


class LayoutMissing(Exception):
    """The layout library, or a system library it needs, is not there."""


@dataclass(frozen=True)
class Printed:
    """The bytes of a PDF, and in words how it was made."""

    content: bytes
    how: str


def page_pdf(page: str, season: Mapping[str, Any]) -> Printed:
    """The season's page as a PDF. The same page gives the same bytes on one machine.

    Args:
        page: self-contained HTML. season: its record, for the pictures of the plain pages.
    """
    try:
        html = _layout()
    except LayoutMissing as missing:
        return Printed(plain_pdf(page, season), f"{PLAIN}: {missing}")
    return Printed(_printed(html, page), PRINTED)


def _layout() -> Any:
    """WeasyPrint, imported without its chatter.

    Raises:
        LayoutMissing: what is missing and the next move.
    """
    try:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            import weasyprint
    except ImportError:
        raise LayoutMissing(
            "WeasyPrint is not installed; pip install 'winterrisk[pdf]' to have it as it prints"
        ) from None
    except OSError as fault:
        raise LayoutMissing(
            f"WeasyPrint found no Pango on this system ({_one_line(fault)}); "
            "install Pango to have it as it prints"
        ) from None
    return weasyprint


def _one_line(fault: OSError) -> str:
    return " ".join(str(fault).split())[:80]


def _printed(weasyprint: Any, page: str) -> bytes:
    log = logging.getLogger("weasyprint")
    level = log.level
    log.setLevel(logging.CRITICAL)
    try:
        head, body = page.split("</head>", 1)
        dressed = f"{head}<style>{PDF_STYLE}</style>\n</head>{with_breaks(body)}"
        document = weasyprint.HTML(string=dressed, media_type="print", url_fetcher=_Nobody())
        identity = hashlib.sha256(page.encode()).hexdigest()[:32].encode()
        with _undated():
            content = document.write_pdf(pdf_variant=VARIANT, pdf_identifier=identity)
    finally:
        log.setLevel(level)
    return bytes(content)


@contextlib.contextmanager
def _undated() -> Iterator[None]:
    """Fonts cut down with one fixed date, so that the same page is the same bytes (reproducible-builds.org)."""
    given = os.environ.get(EPOCH)
    os.environ[EPOCH] = given or "0"
    try:
        yield
    finally:
        if given is None:
            del os.environ[EPOCH]


class _Nobody:
    """Fetches nothing: the page is self-contained, and asks nobody for anything."""

    _fail_on_errors = False

    def __call__(self, url: str, *_: Any, **__: Any) -> NoReturn:
        raise ValueError(f"not fetched: {url[:40]}")
