"""One picture of how good past nights were: what was said against what came true, with the bars that luck allows."""

from matplotlib import rc_context
from matplotlib.figure import Figure
from matplotlib.ticker import PercentFormatter

from winterrisk.calibration.skill import FEW, Skill
from winterrisk.calibration.skill_text import MONTHS
from winterrisk.reports.figures import BAND, GRID, INK, LINE, SETTINGS

WIDTH, HEIGHT = 8.0, 3.6


def skill_figure(told: Skill, course: str) -> Figure:
    """Left: reliability, classes with few cases hollow, consistency bars behind. Right: skill by date with ranges."""
    with rc_context(SETTINGS):
        figure = Figure(figsize=(WIDTH, HEIGHT), layout="constrained")
        figure.suptitle(
            f"{course}: past nights against the spring surveys", x=0.01, ha="left", fontweight="bold"
        )
        left, right = figure.subplots(1, 2)
        rows = told.reliability
        left.plot([0, 1], [0, 1], color=INK, linewidth=0.8)
        left.vlines(
            rows["said"], rows["bar_low"], rows["bar_high"], color=BAND, linewidth=7, label="what luck allows"
        )
        enough = rows["cases"] >= FEW
        for some, filled, label in (
            (enough, LINE, "came true"),
            (~enough, "white", f"fewer than {FEW} cases"),
        ):
            left.plot(
                rows["said"][some],
                rows["happened"][some],
                "o",
                markerfacecolor=filled,
                markeredgecolor=LINE,
                label=label,
            )
        for row in rows.itertuples():
            left.annotate(
                f"{row.cases}", (row.said, row.happened), (6, -10), textcoords="offset points", fontsize=8
            )
        left.set(xlabel="chance said", ylabel="share that came true", xlim=(-0.03, 1.03), ylim=(-0.03, 1.03))
        for axis in (left.xaxis, left.yaxis):
            axis.set_major_formatter(PercentFormatter(1.0))
        left.legend(loc="upper left", frameon=False, fontsize=8)
        names = [MONTHS.get(i.issued, i.issued) for i in told.issues]
        for place, issue in enumerate(told.issues):
            right.plot([issue.skill.low, issue.skill.high], [place, place], color=LINE, linewidth=2)
            right.plot([issue.skill.value], [place], "o", color=LINE)
        right.axvline(0.0, color=INK, linewidth=0.8)
        right.set_yticks(range(len(names)), names)
        right.invert_yaxis()
        right.set_xlabel("Brier skill against the usual chance (90 %)")
        for axes in (left, right):
            axes.grid(color=GRID, linewidth=0.7)
            axes.set_axisbelow(True)
            axes.spines[["top", "right"]].set_visible(False)
    return figure
