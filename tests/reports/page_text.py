"""The text of a page under each of its headings."""

from html.parser import HTMLParser


class Page(HTMLParser):
    """Text under each heading, tags, ids and links of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.sections: dict[str, str] = {}
        self._heading: str | None = None
        self._here = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        values = dict(attrs)
        self.ids += [values["id"] or ""] if "id" in values else []
        self.links += [v or "" for k, v in attrs if k in ("href", "src", "xlink:href")]
        if tag in ("td", "th", "br", "li"):
            self.handle_data(" ")
        if tag == "h2":
            self._heading = ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "h2" and self._heading is not None:
            self._here, self._heading = self._heading, None

    def handle_data(self, data: str) -> None:
        if self._heading is not None:
            self._heading += data
        else:
            self.sections[self._here] = self.sections.get(self._here, "") + data

    def under(self, heading: str) -> str:
        return " ".join(self.sections[heading].split())
