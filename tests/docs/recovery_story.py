"""Fills docs/recovery.md: `python tests/docs/recovery_story.py` runs its commands on a copy of the sample and draws.

A block between `<!-- run: WORDS -->` and `<!-- /run -->` holds what `winterrisk WORDS` prints, the course folder
called `ostermoor`.
"""

import contextlib
import datetime as dt
import io
import re
import shutil
import sys
import tempfile
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np
from matplotlib.dates import DateFormatter, MonthLocator

DOCS = Path(__file__).parents[2] / "docs"
PAGE = DOCS / "recovery.md"
SAMPLE = Path(__file__).parents[2] / "sample_weather" / "ostermoor"
BLOCK = re.compile(r"(<!-- run: (.*?) -->\n```\n)(.*?)(```\n<!-- /run -->)", re.DOTALL)
NAME = "ostermoor"
LOOKS = {
    "svg.fonttype": "none",
    "svg.hashsalt": "winterrisk",
    "font.size": 10,
    "font.sans-serif": ["DejaVu Sans"],
}
ZONE = "4 low"


def sample_copy(folder: Path) -> Path:
    """A copy of the sample without anything an earlier run wrote there."""
    left = shutil.ignore_patterns(
        "nights", "reports", "weather", "book.sqlite*", "thresholds*", "__pycache__"
    )
    return Path(shutil.copytree(SAMPLE, folder / NAME, ignore=left))


def printed(words: str, folder: Path) -> str:
    """What a command prints on stdout, with the folder's place taken out."""
    from winterrisk.cli import main

    argv, sys.argv = sys.argv, ["winterrisk", *(str(folder) if w == NAME else w for w in words.split())]
    out = io.StringIO()
    try:
        with contextlib.redirect_stdout(out), contextlib.suppress(SystemExit):
            main()
    finally:
        sys.argv = argv
    return out.getvalue().replace(str(folder), NAME)


def blocks(text: str) -> list[tuple[str, str]]:
    """Commands of a page and what it says they print."""
    return [(found[2], found[3]) for found in BLOCK.finditer(text)]


def soil_picture(course: Path) -> str:
    """Soil at 5 cm in the springs that may follow 14 March, and when bent seed comes up in each, as SVG text."""
    from winterrisk import spring

    replayed = spring.replay(course, dt.date(2025, 3, 14))
    days = replayed.days["soil_temperature_5cm_mean"].sel(zone=ZONE, day=slice("2025-03-01", "2025-06-29"))
    seed = spring.plan_of(replayed).zones[0].option("seed").dates.up
    first = replayed.days["day"].to_numpy()[0].astype("datetime64[D]")
    winters = [str(n)[:7] for n in replayed.weather.paths["past_winter"].to_numpy()[replayed.several.path]]
    with plt.rc_context(LOOKS):
        figure, axes = plt.subplots(figsize=(7.2, 3.6), layout="constrained")
        for number, winter in enumerate(sorted(set(winters))):
            member = winters.index(winter)
            line = days.isel(member=member)
            axes.plot(
                line["day"],
                line,
                linewidth=1.4,
                label=f"as in spring {int(winter[:4]) + 1}",
                color=f"C{number}",
            )
            up = first + np.timedelta64(int(seed[member]), "D")
            axes.plot(up, float(line.sel(day=up.astype("datetime64[ns]"))), "o", color=f"C{number}")
        for limit, words in ((7.0, "sow from 7 degC"), (10.0, "10 degC")):
            axes.axhline(limit, color="#777777", linewidth=0.8, linestyle="--")
            axes.text(days["day"].to_numpy()[1], limit + 0.2, words, fontsize=8, color="#555555")
        axes.axvline(np.datetime64("2025-03-14"), color="#8a3b12", linewidth=1)
        axes.set_title(f"Invented: soil at 5 cm, {ZONE}; dot: bent seed up", fontsize=11, loc="left")
        axes.set_ylabel("degC")
        axes.xaxis.set_major_locator(MonthLocator())
        axes.xaxis.set_major_formatter(DateFormatter("1 %b"))
        axes.spines[["top", "right"]].set_visible(False)
        axes.legend(frameon=False, fontsize=8, loc="lower right")
        buffer = io.StringIO()
        figure.savefig(buffer, format="svg", metadata={"Date": None, "Creator": None})
        plt.close(figure)
    return "\n".join(line.rstrip() for line in buffer.getvalue().splitlines()) + "\n"


def bars_picture(course: Path, day: str) -> str:
    """The options of the worst low as the page of a day shows them."""
    import json

    from winterrisk.reports.recovery_bars import zone_bars

    record = json.loads(
        (course / "reports" / f"recovery-{day}" / "recovery.json").read_text(encoding="utf-8")
    )
    zone = next(z for z in record["zones"] if z["zone"] == ZONE)
    svg = str(zone_bars(zone, record))
    named = svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
    return named.replace("</title>", '</title><rect width="100%" height="100%" fill="#ffffff"/>', 1) + "\n"


def main() -> None:
    """Write the blocks and the pictures anew."""
    with tempfile.TemporaryDirectory() as folder:
        course = sample_copy(Path(folder))
        text = BLOCK.sub(
            lambda found: found[1] + printed(found[2], course) + found[4], PAGE.read_text(encoding="utf-8")
        )
        PAGE.write_text(text, encoding="utf-8")
        pictures = DOCS / "pictures"
        for day in ("2025-03-14", "2025-05-15"):
            (pictures / f"recovery_{day}.svg").write_text(bars_picture(course, day), encoding="utf-8")
        (pictures / "recovery_soil.svg").write_text(soil_picture(course), encoding="utf-8")


if __name__ == "__main__":
    main()
