"""Makes docs/tuning_example.md: `python tests/docs/tuning_example.py` tunes a copy of the sample course (minutes).

Every line of output on the page is what the commands said.
"""

import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

from winterrisk.thresholds import TABLE, Thresholds

ROOT = Path(__file__).parents[2]
PAGE, PICTURES = ROOT / "docs" / "tuning_example.md", ROOT / "docs" / "pictures"
SAMPLE = ROOT / "sample_weather" / "ostermoor"
ROW = "ice_multiplier.annual_bluegrass"
NIGHT, WINTER = "2025-02-26", "2024-25"
SIGNED = ("--who", "Inga Varrow")


def said(course: Path, *words: str, refused: bool = False) -> str:
    """What `winterrisk` said of a course; the course is called my_course on the page."""
    line = [
        sys.executable,
        "-c",
        "from winterrisk.cli import main; main()",
        words[0],
        str(course),
        *words[1:],
    ]
    done = subprocess.run(line, capture_output=True, text=True, check=False)
    if done.returncode != (2 if refused else 0):
        raise SystemExit(f"{words}: exit {done.returncode}\n{done.stderr}")
    return (done.stderr if refused else done.stdout).strip().replace(str(course), "my_course")


def chances(text: str) -> dict[str, tuple[float, float, float]]:
    """Chance of parts dead, low and high, by zone, of a night's object."""
    zones = json.loads(text)["data"]["zones"]
    return {zone["zone"]: (zone["chance"], zone["low"], zone["high"]) for zone in zones}


def fit_picture(course: Path) -> None:
    """The row before and after the evidence."""
    after = Thresholds.read(course).joint[ROW]
    before = TABLE[ROW].quantile((np.arange(4000) + 0.5) / 4000)
    bins = np.linspace(0.4, 3.0, 53)
    figure, axis = plt.subplots(figsize=(7, 3))
    axis.hist(before, bins, density=True, color="0.8", label="the table")
    axis.hist(
        after, bins, density=True, histtype="step", color="#0b62a4", linewidth=2, label="after the evidence"
    )
    axis.set_xlabel("days without air annual bluegrass stands, against timothy's formula")
    axis.set_yticks([])
    axis.legend(frameon=False)
    figure.tight_layout()
    figure.savefig(PICTURES / "tuning_fit.png", dpi=100)


def nights_picture(before: dict[str, tuple[float, ...]], after: dict[str, tuple[float, ...]]) -> None:
    """The same night under both, zone by zone."""
    zones = sorted(before, key=lambda zone: before[zone][0])
    figure, axis = plt.subplots(figsize=(7, 0.26 * len(zones) + 1))
    for place, (told, colour, name) in enumerate(
        ((before, "0.5", "the table"), (after, "#0b62a4", "adopted"))
    ):
        at = np.arange(len(zones)) + 0.16 * (1 - 2 * place)
        middle, low, high = (np.array([told[zone][k] for zone in zones]) for k in range(3))
        axis.hlines(at, low, high, color=colour, linewidth=2)
        axis.plot(middle, at, "s" if place else "o", color=colour, label=name, markersize=5)
    axis.set_yticks(range(len(zones)), zones)
    axis.set_xlim(0, 1)
    axis.set_xlabel(f"chance that more than a quarter is dead on {NIGHT}, with its range")
    axis.legend(frameon=False, loc="lower right")
    figure.tight_layout()
    figure.savefig(PICTURES / "tuning_night.png", dpi=100)


def main() -> None:
    """Writes the page and its pictures."""
    with tempfile.TemporaryDirectory() as folder:
        course = Path(folder) / "my_course"
        left = shutil.ignore_patterns("nights", "reports", "weather", "book.sqlite*", "thresholds*")
        shutil.copytree(SAMPLE, course, ignore=left)
        night = ("nightly", "--on", NIGHT, "--no-send", "--json")
        before = chances(said(course, *night))
        fitted = said(course, "tune", "fit")
        shown = said(course, "tune", "preview", "--winter", WINTER, "--every", "14")
        shutil.copy(course / "reports" / "preview.png", PICTURES / "tuning_preview.png")
        why = ("--why", "two bad winters of plugs", "--on", "2025-02-20")
        override = ("--override", "an invented course: to see the way back")
        sure = "Should NOT" not in fitted
        refused = "" if sure else said(course, "tune", "adopt", *SIGNED, *why, refused=True)
        adopted = said(course, "tune", "adopt", *SIGNED, *why, *(() if sure else override))
        fit_picture(course)
        after = chances(said(course, *night))
        nights_picture(before, after)
        undone = said(course, "tune", "undo", *SIGNED, "--why", "tried", "--on", "2025-02-21")
        history = said(course, "tune", "history")
        again = chances(said(course, *night))
    if again != before:
        raise SystemExit("the night after the undo is not the night before")
    moved = sorted(after, key=lambda zone: -abs(after[zone][0] - before[zone][0]))[:5]
    table = "\n".join(
        f"| {zone} | "
        + " | ".join("{:.2f} ({:.2f} to {:.2f})".format(*told[zone]) for told in (before, after))
        + " |"
        for zone in moved
    )
    no = (
        ""
        if sure
        else f"""Adopting it is refused, because the fit itself speaks against it:
```
winterrisk tune my_course adopt --who "Inga Varrow" --why "two bad winters of plugs"
{refused}
```
A written reason carries it all the same, and stays with the version:
"""
    )
    PAGE.write_text(
        f"""# A course tuned, looked at, adopted and undone

The invented course Ostermoor of `sample_weather/`, with what its people would have found. Made by
`python tests/docs/tuning_example.py`: every line below is what the commands said. [How tuning works](tuning.md).

## Fit
```
winterrisk tune my_course fit
{fitted}
```
![Days without air before and after the evidence](pictures/tuning_fit.png)

## Preview
```
winterrisk tune my_course preview --winter {WINTER} --every 14
{shown}
```
![Calls of past nights under both](pictures/tuning_preview.png)

## Adopt
{no}```
{adopted}
```

## The same night, before and after
`winterrisk nightly my_course --on {NIGHT}`, the five zones that moved most: chance that more than a quarter is dead.
Plugs the version has learned from weigh no thresholds again in the night, so its ranges may be wider;
where their zone stands they still tell.

| zone | the table | adopted |
|---|---|---|
{table}

![Chances of the same night under both](pictures/tuning_night.png)

## Undo
```
winterrisk tune my_course undo --who "Inga Varrow" --why "tried"
{undone}

winterrisk tune my_course history
{history}
```
The night worked again after the undo has the numbers of the night before the adoption, zone by zone.
""",
        encoding="utf-8",
    )


if __name__ == "__main__":
    main()
