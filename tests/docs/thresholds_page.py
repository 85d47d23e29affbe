"""Makes docs/thresholds.md from the table: `python tests/docs/thresholds_page.py` writes it anew."""

from pathlib import Path

from winterrisk.thresholds import LABELS, TABLE

PAGE = Path(__file__).parents[2] / "docs" / "thresholds.md"
HEADINGS = {
    "column": "What acts on the column (drawn for each possible winter)",
    "dose": "What acts on the doses (drawn for each possible winter)",
    "chance": "What acts on the chances and the reading of plugs (a value each threshold draw; learned where said)",
    "recovery": "What acts on recovery, covers and crew (drawn for each spring)",
}


def page() -> str:
    """The page as text."""
    lines = [
        "# The table of thresholds and parameters",
        "",
        "Made from the table in `winterrisk/thresholds/`; a test holds the two together. Range: what draws may take.",
        "",
    ]
    for acts, heading in HEADINGS.items():
        lines += [
            f"## {heading}",
            "",
            "| what | value | range | unit | status | learned | source |",
            "|---|---|---|---|---|---|---|",
        ]
        for row in TABLE.values():
            if row.acts != acts:
                continue
            grass = f", {LABELS[row.species]}" if row.species else ""
            learned = "yes" if row.learned else ""
            source = row.source.replace("|", "/")
            lines.append(
                f"| {row.label}{grass} (`{row.key}`) | {row.value:g} | {row.low:g} to {row.high:g} | {row.unit} "
                f"| {row.status} | {learned} | {source} |"
            )
        lines.append("")
    return "\n".join(lines)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
