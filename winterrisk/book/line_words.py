"""The words people use, and what the book calls them."""

from collections.abc import Mapping
from typing import Final

Phrases = dict[str, tuple[str, ...]]


def _phrases(written: Mapping[str, str]) -> Phrases:
    """Phrases by name, from text in which commas part them."""
    return {name: tuple(text.split(", ")) for name, text in written.items()}


KIND_WORDS: Final = _phrases(
    {
        "no_ice": "no ice, ice free, ice-free, without ice, ice gone, ice melted",
        "ice_removed": (
            "ice removed, ice off, ice cleared, ice taken off, removed ice, removed the ice, de-iced, deiced"
        ),
        "ice_broken": (
            "ice broken up, ice broken, ice cracked, ice opened, broke ice, broke the ice, broke up ice"
        ),
        "snow_cleared": (
            "snow cleared, snow removed, snow off, snow blown off, cleared snow, "
            "cleared the snow, snow pushed off, snow plowed, snow ploughed, snow shoveled, "
            "snow shovelled, plowed, ploughed, shoveled, shovelled, cleared"
        ),
        "snow_banked": (
            "snow banked on the drain side, snow banked on drain side, snow banked, "
            "banked snow, snow bank, snowbank, banked"
        ),
        "packed": ("snow packed, packed snow, snow compacted, snow groomed, packed, groomed, compacted"),
        "water_removed": (
            "water removed, water pushed off, water pumped, pumped water, water off, squeegeed, "
            "squeegee, pumped, pushed water off"
        ),
        "drain_side_opened": (
            "drain side opened, drain side open, drain side cleared, opened drain side, "
            "opened the drain side, drain opened, drain line opened, opened drain, channel cut, "
            "channels cut, cut channel, cut a channel, cut channels"
        ),
        "cover_opened": (
            "cover opened, covers opened, cover open, opened cover, tarp opened, tarp open, opened tarp"
        ),
        "cover_off": (
            "cover off, covers off, cover removed, tarp off, tarps off, tarp removed, uncovered, untarped"
        ),
        "cover_on": "cover on, covers on, tarp on, tarps on, covered, tarped, cover, tarp",
        "vented": "vented, vent, aired, air blown under, ventilated",
        "dark_sand": "dark sand, black sand, darkened, dark topdressing, sunflower seed",
        "sanded": "sanded, topdressed, sand, topdressing",
        "crown_temperature_seen": (
            "crown temperature, crown temp, temperature at crown, temp at crown, crowns at, crown at, crown"
        ),
        "gas_seen": "o2, oxygen, gas",
        "water_seen": "standing water, water, ponding, pond, ponded, puddle, puddles, flooded, slush",
        "ice_seen": "ice sheet, sheet ice, under ice, snow-ice, ice, iced, icy, iced over",
        "snow_depth_seen": "snow depth, snowpack, snow pack, snow cover, snow",
    }
)
"""Phrases of each kind; where several fit the longest counts."""

NOTHING_OF: Final = {
    "no snow": "snow_depth_seen",
    "snow free": "snow_depth_seen",
    "bare": "snow_depth_seen",
    "snow gone": "snow_depth_seen",
    "no water": "water_seen",
    "water gone": "water_seen",
}
"""Phrases that say there is none."""

ICE_LOOKS: Final = _phrases(
    {
        "clear": "clear, black, glassy, glaze, solid, blue",
        "white": "white, cloudy, porous, milky, snow-ice, snow ice, grey, gray, crust, crusty",
    }
)

COVER_KINDS: Final = _phrases(
    {
        "impermeable": "impermeable, watertight, plastic",
        "permeable": "permeable, woven, fleece, breathable",
        "insulated": "insulated, foam, bubble",
        "straw": "straw, hay",
    }
)

SHARES: Final = {
    "all of it": 1.0,
    "whole zone": 1.0,
    "most of it": 0.75,
    "mostly": 0.75,
    "half of it": 0.5,
    "on half": 0.5,
    "half": 0.5,
    "a third": 0.33,
    "third of it": 0.33,
    "a quarter": 0.25,
    "quarter of it": 0.25,
    "patchy": 0.3,
    "in patches": 0.3,
    "patches": 0.3,
    "in places": 0.2,
}
"""Share of the zone in words (judged)."""

EVERYWHERE: Final = ("all greens", "whole course", "every green", "everywhere", "all zones", "all")

FILLERS: Final = frozenset(
    [
        "the",
        "a",
        "an",
        "of",
        "on",
        "at",
        "is",
        "are",
        "was",
        "were",
        "and",
        "with",
        "to",
        "green",
        "greens",
        "hole",
        "no.",
        "number",
        "zone",
        "thick",
        "thickness",
        "deep",
        "depth",
        "over",
        "left",
        "still",
        "now",
        "seen",
        "found",
        "there",
        "it",
        "in",
        "under",
        "by",
        "has",
        "had",
        "about",
        "around",
        "ca",
        "approx",
        "roughly",
    ]
)
"""Words that change nothing."""
ABOUT: Final = frozenset({"about", "around", "ca", "approx", "roughly", "~"})

SPECIES_WORDS: Final = _phrases(
    {
        "annual_bluegrass": "annual bluegrass, poa annua, poa, annual meadow grass, tunrapp, vitgröe",
        "creeping_bent": "creeping bentgrass, creeping bent, bentgrass, bent, agrostis",
        "velvet_bent": "velvet bentgrass, velvet bent, velvet",
        "colonial_bent": "colonial bentgrass, colonial bent, browntop",
        "perennial_ryegrass": "perennial ryegrass, ryegrass, rye",
        "kentucky_bluegrass": "kentucky bluegrass, smooth meadow grass, kbg",
        "fine_fescue": "fine fescue, red fescue, fescue",
    }
)

COLOURS: Final = (
    "dark green",
    "pale green",
    "light green",
    "green",
    "brown",
    "yellow",
    "tan",
    "white",
    "black",
    "straw",
    "grey",
    "gray",
)
SMELLS: Final = {
    "no smell": "none",
    "stench": "strong",
    "strong smell": "strong",
    "bad smell": "strong",
    "smells bad": "strong",
    "sour": "sour",
    "sour smell": "sour",
    "sweet smell": "sweet",
    "smells": "some",
    "smell": "some",
    "smelly": "some",
    "stinks": "strong",
}

CROWN_WORDS: Final = _phrases(
    {
        "no": ("crowns no, no crowns, crowns off, crowns cut off, crowns missing, snapped, above the crowns"),
        "yes": "crowns yes, crowns on, crowns attached, with crowns, crowns ok",
        "unknown": "crowns unknown, crowns ?",
    }
)

CAUSE_WORDS: Final = _phrases(
    {
        "ice": "ice damage, ice, suffocation, anoxia",
        "wet_freeze": "crown hydration, wet freeze, soaked and frozen, freeze-thaw, freeze thaw",
        "cold": "low temperature, direct cold, cold",
        "drying": "desiccation, drying, dried out, dry",
        "snow_mould_pink": "pink snow mould, pink snow mold, pink mould, pink mold, microdochium, fusarium",
        "snow_mould_grey": (
            "grey snow mould, gray snow mold, grey mould, gray mold, typhula, snow mould, snow mold"
        ),
        "spring_frost": "spring frost, late frost",
        "mixed": "mixed, several causes",
        "unknown": "unknown, not known, no idea",
    }
)

BAND_WORDS: Final = {
    "none": (0.0, 0.005),
    "no damage": (0.0, 0.005),
    "nothing": (0.0, 0.005),
    "trace": (0.005, 0.05),
    "spots": (0.05, 0.25),
    "parts": (0.25, 0.6),
    "most": (0.6, 1.0),
    "all dead": (0.9, 1.0),
    "half": (0.4, 0.6),
}
"""Dead share in words (judged)."""
