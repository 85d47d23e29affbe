"""Colours of the pages read on paper, by day and in the dark: contrast AA, worked out from the style sheet."""

import re
from importlib.resources import files

import pytest
from contrast import AA_GRAPHIC, AA_TEXT, contrast

STYLE = files("winterrisk.reports").joinpath("templates/base.html").read_text(encoding="utf-8")
SCHEMES = {
    name: dict(re.findall(r"--(\w+): (#[0-9a-f]{3,6})", block))
    for name, block in zip(("light", "dark", "print"), re.findall(r":root \{([^}]*)\}", STYLE), strict=True)
}


def test_the_formula_gives_the_ratios_the_guidelines_name() -> None:
    # WCAG 2.2: 21:1 for black on white; technique G18 names #767676 on white as 4.54:1 (from memory)
    assert contrast("#000", "#fff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_text_and_marks_stand_out_from_the_paper(scheme: str) -> None:
    found = SCHEMES[scheme]
    text = [("ink", "paper"), ("ink", "soft"), ("ink", "shade"), ("link", "paper"), ("mark", "paper")]
    low = [pair for pair in text if contrast(found[pair[0]], found[pair[1]]) < AA_TEXT]
    assert not low, f"{scheme}: text too faint: {low}"
    drawn = [
        (name, on) for name in ("crown", "mark", "ice", "wet", "snow", "air") for on in ("paper", "shade")
    ]
    faint = [
        f"{name} on {on} {contrast(found[name], found[on]):.2f}"
        for name, on in drawn
        if contrast(found[name], found[on]) < AA_GRAPHIC
    ]
    assert not faint, f"{scheme}: lines and bars too faint: {faint}"
