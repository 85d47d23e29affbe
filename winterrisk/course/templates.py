"""The nine zone templates: what a superintendent's word for a spot means in numbers.

Every number is judged unless the row says otherwise, within these bounds: depressions of a green hold 0-30 mm
(judged), a flat green falls 1-2 % (common practice, no source). Shade, poor surface drainage and much annual
bluegrass are the trade's triad for winter injury; exposed, windy, sandy spots dry out (Kreuser 2019).
"""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Template:
    """One kind of spot on a green.

    Args:
        means: the spot in a superintendent's words.
        holds_water [mm]: water standing on frozen ground before it runs off.
        slope [percent]: fall of the surface.
        faces: compass direction the slope looks to, or flat.
        shade, wind, cold_air, snow: words of the course file.
    """

    means: str
    holds_water: float
    drainage: str
    slope: float
    faces: str = "flat"
    shade: str = "none"
    wind: str = "open"
    cold_air: str = "neither"
    snow: str = "stays"
    source: str = "judged"


TEMPLATES: Final = {
    "low spot": Template(
        "a pocket where water stands and cold air settles", 15.0, "poor", 1.0, cold_air="pools",
    ),
    "collar dam": Template("water held on the green by a raised collar", 12.0, "poor", 1.5),
    "drain side": Template("the low side where melt water leaves the green", 6.0, "fair", 2.0),
    "afternoon shade": Template(
        "sun in the morning, shade from noon on: thaws and freezes again",
        3.0, "fair", 1.5, shade="afternoon", wind="sheltered",
        source="judged; afternoon shade after morning sun is worst (extension bulletins)",
    ),
    "ridge": Template(
        "a knoll the wind keeps bare", 0.5, "good", 3.0,
        wind="exposed", cold_air="drains off", snow="blows off",
        source="judged; exposed spots dry out, low ones fare best (Kreuser 2019)",
    ),
    "open": Template("plain surface, sun all day", 2.0, "good", 2.0),
    "north slope": Template("falls to the north: little winter sun, long snow", 1.0, "good", 4.0, faces="N"),
    "cover edge": Template("the rim of a cover: water and snow collect", 4.0, "fair", 1.5, snow="drifts in"),
    "irrigation low": Template("kept wet by a sprinkler or a low pipe", 10.0, "poor", 1.0),
}  # fmt: skip

PLAIN: Final = "open"
"""The template of a zone that names none."""
