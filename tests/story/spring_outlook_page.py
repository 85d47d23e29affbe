"""Draws the reliability diagram of outlooks to spring: python tests/story/spring_outlook_page.py

The table, docs/spring_outlook.csv, is written by `pytest -m slow tests/story/test_spring_outlook.py -s`.
"""

from pathlib import Path

import numpy as np
import pandas as pd
from matplotlib.figure import Figure
from spring_outlook import with_climatology

DOCS = Path(__file__).parents[2] / "docs"
TABLE, PICTURE = DOCS / "spring_outlook.csv", DOCS / "pictures" / "spring_outlook.png"
CLASSES = 5
NAMES = {"12-15": "15 December", "1-15": "15 January", "2-15": "15 February"}


def classes(rows: pd.DataFrame) -> pd.DataFrame:
    """Mean chance told and mean chance that came, with their count, by fifths of what was told."""
    fifth = np.minimum((rows["said"] * CLASSES).astype(int), CLASSES - 1)
    return rows.groupby(fifth).agg(said=("said", "mean"), came=("came", "mean"), cases=("came", "size"))


def draw(rows: pd.DataFrame) -> Figure:
    """One panel a night: told against came, the diagonal, and how many cases stand behind each point."""
    figure = Figure(figsize=(9.6, 3.5), layout="constrained")
    for panel, (night, name) in zip(figure.subplots(1, 3, sharey=True), NAMES.items(), strict=True):
        own = rows[rows["night"] == night]
        panel.plot([0, 1], [0, 1], color="0.6", linewidth=1)
        panel.axhline(own["came"].mean(), color="0.6", linewidth=1, linestyle=":")
        panel.scatter(own["said"], own["came"], s=12, color="0.75", label="one zone, one winter")
        mean = classes(own)
        panel.plot(mean["said"], mean["came"], marker="o", color="#1f4e79", label="mean of a fifth")
        for _, row in mean.iterrows():
            panel.annotate(
                f"{row['cases']:.0f}", (row["said"], row["came"]), (5, -11), textcoords="offset points"
            )
        panel.set(title=name, xlabel="chance told", xlim=(0, 1), ylim=(0, 1))
        panel.set_aspect("equal")
    figure.axes[0].set_ylabel("chance with the weather that came")
    figure.axes[0].legend(loc="upper left", fontsize=8)
    return figure


if __name__ == "__main__":
    draw(with_climatology(pd.read_csv(TABLE).fillna({"night": ""}))).savefig(
        PICTURE, dpi=120, metadata={"Software": None}
    )
