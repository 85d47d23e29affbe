"""A note's Markdown as one HTML page: headings, paragraphs, lists, tables, bold. Everything else is text."""

import re
from typing import Final

from markupsafe import Markup, escape

from winterrisk.reports.night_page import environment

_BOLD: Final = re.compile(r"\*\*(.+?)\*\*")
_RULE: Final = re.compile(r"^\|(?:\s*:?-+:?\s*\|)+$")


def note_page(markdown: str) -> str:
    """The page of a note; what people wrote is escaped, comments are left out."""
    text = re.sub(r"<!--.*?-->", "", markdown, flags=re.DOTALL)
    blocks = [b.strip("\n") for b in re.split(r"\n\s*\n", text) if b.strip()]
    first = next((b[2:].strip() for b in blocks if b.startswith("# ")), "Note")
    body = Markup("\n").join(_block(b) for b in blocks)
    page = environment().from_string('{% extends "base.html" %}{% block body %}{{ body }}{% endblock %}\n')
    return page.render(title=first, body=body)


def _inline(text: str) -> Markup:
    return Markup(_BOLD.sub(r"<strong>\1</strong>", str(escape(text.strip()))))


def _block(block: str) -> Markup:
    lines = block.splitlines()
    heading = re.match(r"^(#{1,3}) (.*)$", lines[0])
    if heading:
        level = len(heading[1])
        rest = _block("\n".join(lines[1:])) if lines[1:] else Markup("")
        return Markup("<h{0}>{1}</h{0}>").format(level, _inline(heading[2])) + rest
    if all(line.lstrip().startswith("- ") for line in lines):
        rows = Markup("").join(Markup("<li>{}</li>").format(_inline(line.lstrip()[2:])) for line in lines)
        return Markup("<ul>{}</ul>").format(rows)
    if all(line.startswith("|") for line in lines):
        return _table(lines)
    return Markup("<p>{}</p>").format(_inline(" ".join(lines)))


def _table(lines: list[str]) -> Markup:
    rows = [[cell.strip() for cell in line.strip().strip("|").split("|")] for line in lines]
    ruled = len(lines) > 1 and _RULE.match(lines[1].strip())
    head, body = (rows[0], rows[2:]) if ruled else ([], rows)
    top = Markup("").join(Markup("<th>{}</th>").format(_inline(cell)) for cell in head)
    inner = Markup("").join(
        Markup("<tr>{}</tr>").format(
            Markup("").join(Markup("<td>{}</td>").format(_inline(cell)) for cell in row)
        )
        for row in body
    )
    return Markup(
        '<div class="wide"><table><thead><tr>{}</tr></thead><tbody>{}</tbody></table></div>'
    ).format(top, inner)
