"""The picture of a preview shows what the tables hold: zones, chances, warnings, surveys (a law of our own layout)."""

import matplotlib.dates as mdates
import numpy as np
import pandas as pd
import pytest

from winterrisk.calibration import PastNights, preview
from winterrisk.reports.preview_figure import MOST, drawn_zones, preview_figure

NIGHTS = ("2025-01-10", "2025-02-10", "2025-03-10")
ZONES = [f"{green} low" for green in range(1, 16)]


def side(add: float, calls: list[tuple[str, str]]) -> PastNights:
    rows = [
        ("2024-25", on, zone, 0.02 * number + add + 0.1 * n, 0.0, 1.0, 0.0, False, True)
        for n, on in enumerate(NIGHTS)
        for number, zone in enumerate(ZONES)
    ]
    names = ["winter", "on", "zone", "chance", "low", "high", "chance_now", "treated", "judged"]
    told = pd.DataFrame([("2024-25", on, zone, "pull", 0.4, "") for on, zone in calls],
                        columns=["winter", "on", "zone", "kind", "chance", "held_because"])  # fmt: skip
    return PastNights(told, pd.DataFrame(rows, columns=names))


@pytest.fixture
def shown():
    surveys = pd.DataFrame(
        [("2024-25", pd.Timestamp("2025-05-02"), "1 low", 0.3, 0.5, "all")],
        columns=["winter", "date", "zone", "dead_low", "dead_high", "species"],
    )
    return preview(side(0.0, []), side(0.05, [("2025-02-10", "1 low")]), surveys)


def test_what_changed_is_drawn_first_then_the_highest_chances(shown) -> None:
    drawn = drawn_zones(shown)
    assert len(drawn) == MOST and drawn["zone"].iloc[0] == "1 low"
    assert drawn["zone"].tolist()[1:] == ZONES[:-MOST:-1]


def test_lines_marks_and_bands_are_those_of_the_tables(shown) -> None:
    figure = preview_figure(shown, "Hand Links (invented)")
    panels = [axes for axes in figure.axes if axes.get_visible()]
    assert len(panels) == MOST
    first = panels[0]
    assert first.get_title(loc="left") == "1 low, 2024-25: miss -> hit"
    lines = {line.get_label(): line for line in first.get_lines()}
    days = mdates.date2num(pd.to_datetime(list(NIGHTS)))
    for label, add in (("chance now", 0.0), ("chance then", 0.05)):
        assert np.array_equal(lines[label].get_xdata(), days)
        assert lines[label].get_ydata() == pytest.approx([add, 0.1 + add, 0.2 + add])
    assert len(lines["pull now"].get_xdata()) == 0
    assert lines["pull then"].get_xdata().tolist() == [days[1]] and lines[
        "pull then"
    ].get_ydata() == pytest.approx([0.15])
    (band,) = first.patches
    assert (band.get_y(), band.get_y() + band.get_height()) == pytest.approx((0.3, 0.5))
    assert panels[1].patches == [] or len(panels[1].patches) == 0
    assert lines["chance now"].get_linestyle() != lines["chance then"].get_linestyle(), (
        "told apart without colour"
    )
