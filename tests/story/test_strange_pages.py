"""Pages of strange courses: they render, make nothing up, run nothing that people wrote, and fit the phone."""

import shutil
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from strange_courses import IMAGE, KINDS, MARKUP, WRITTEN, pages_of

CHROMIUM = shutil.which("chromium")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-sync",
]


class Seen(HTMLParser):
    """Tags, handlers and text of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.handlers: list[str] = []
        self.text = ""
        self._hidden = False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.handlers += [name for name, _ in attrs if name.startswith("on")]
        self._hidden = tag == "style"

    def handle_data(self, data: str) -> None:
        if not self._hidden:
            self.text += data


@pytest.fixture(scope="module", params=list(KINDS))
def strange(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, sample: Path
) -> tuple[str, dict[str, Path]]:
    """The name of a strange course, and its pages."""
    kind = request.param
    return kind, pages_of(kind, tmp_path_factory.mktemp("strange") / "a ⛳ course", sample)


def test_what_people_wrote_stays_text_and_nothing_is_made_up(strange: tuple[str, dict[str, Path]]) -> None:
    kind, pages = strange
    for name, path in pages.items():
        seen = Seen(path.read_text(encoding="utf-8"))
        assert not {"script", "img", "iframe", "object", "link"} & set(seen.tags) and seen.handlers == []
        words = " ".join(seen.text.split())
        assert "nan" not in words.lower().split() and "None" not in words.split()
        if name != "empty winter":
            for area, zone in KINDS[kind]:
                assert f"{area} {zone}" in words, f"{name}: {area} {zone}"
            assert MARKUP in words and IMAGE in words and " ".join(WRITTEN.split()) in words
    season, empty = (Seen(pages[n].read_text(encoding="utf-8")).text for n in ("season", "empty winter"))
    assert "No survey yet" in season and "nobody can say" in season
    assert "No night of this winter" in empty and "No decision is in the book" in empty
    assert "Lost to dead turf: nothing" not in season + empty, "no survey is no all-clear"


@pytest.fixture(scope="module")
def browser() -> Iterator[object]:
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: extra refs")
    if CHROMIUM is None:
        pytest.skip("no chromium on this machine")
    with playwright.sync_playwright() as running:
        started = running.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield started
        started.close()


def test_nothing_runs_and_nothing_sticks_out_on_a_phone(
    browser, strange: tuple[str, dict[str, Path]]
) -> None:
    for path in strange[1].values():
        page = browser.new_page(viewport={"width": 375, "height": 700})
        asked: list[str] = []
        page.on("request", lambda request, asked=asked: asked.append(request.url))
        page.goto(path.as_uri())
        assert page.evaluate("window.ran === undefined")
        assert len(asked) == 1 and page.evaluate("document.documentElement.scrollWidth") <= 375
        page.close()
