"""Rows that act on the chance: what a dose means for the turf. Only these are learned."""

from winterrisk.thresholds.row import Row
from winterrisk.thresholds.species import LABELS, SPECIES

_ICE: dict[str, tuple[float, str]] = {
    "annual_bluegrass": (1.30, "fitted to Beard 1964, Frank, Vargas 2015 and other field reports"),
    "creeping_bent": (1.50, "fitted to Beard 1964 and a 119-day Nordic report"),
    "velvet_bent": (2.85, "fitted to a 119-day Nordic report"),
    "colonial_bent": (1.8, "judged; one Massachusetts winter bounds it"),
    "perennial_ryegrass": (0.59, "fitted to Hoglind et al. 2010 (longest 20 days)"),
    "kentucky_bluegrass": (1.5, "judged; one Massachusetts winter bounds it"),
    "fine_fescue": (1.8, "judged; one Massachusetts winter bounds it"),
    "timothy": (1.1, "fitted to Hoglind et al. 2010 (longest 63 days)"),
    "winter_wheat": (0.11, "fitted to Andrews, Pomeroy 1975, total ice in a chamber"),
}

_WET: dict[str, float] = {
    "annual_bluegrass": 0.85,
    "creeping_bent": 0.30,
    "velvet_bent": 0.30,
    "colonial_bent": 0.45,
    "perennial_ryegrass": 0.60,
    "kentucky_bluegrass": 0.40,
    "fine_fescue": 0.35,
    "timothy": 0.40,
    "winter_wheat": 0.40,
}


def _set(name: str, label: str, unit: str, value: float, low: float, high: float, source: str) -> Row:
    """A row that no draw varies and no fit learns; a person may set it inside its range."""
    return Row(name, label, unit, value, low, high, "fixed", source, "judged", "chance")


def _ice_multiplier(species: str) -> Row:
    value, source = _ICE[species]
    return Row(
        "ice_multiplier",
        f"{LABELS[species]}: days without air it stands, against timothy's formula",
        "1",
        value,
        value / 4.0,
        value * 4.0,
        "lognormal",
        source,
        "judged",
        "chance",
        species,
        True,
        0.35,
    )


def _wet_shift(species: str) -> Row:
    return Row(
        "wet_shift",
        f"{LABELS[species]}: hardiness a soaked crown loses",
        "1",
        _WET[species],
        0.0,
        1.0,
        "normal",
        "judged; three published thaw-freeze events bound annual bluegrass loosely",
        "judged",
        "chance",
        species,
        True,
        0.12,
    )


CHANCE_ROWS: tuple[Row, ...] = (
    *(_ice_multiplier(species) for species in SPECIES),
    Row(
        "ice_steepness",
        "how sharply death by ice comes",
        "1",
        8.0,
        2.0,
        32.0,
        "lognormal",
        "fitted to published ice cases (6-11)",
        "judged",
        "chance",
        "",
        True,
        0.35,
    ),
    *(_wet_shift(species) for species in SPECIES),
    Row(
        "cold_offset",
        "turf here is softer (+) or hardier (-) than worked out",
        "K",
        0.0,
        -12.0,
        12.0,
        "normal",
        "spread between studies of one grass, judged",
        "judged",
        "chance",
        "",
        True,
        3.0,
    ),
    Row(
        "cold_spread",
        "how gradually cold kills across a green",
        "K",
        1.0,
        0.25,
        4.0,
        "lognormal",
        "0.96-1.02 in Bergjord et al. 2008 and Hoglind et al. 2016",
        "published",
        "chance",
        "",
        True,
        0.35,
    ),
    Row(
        "background",
        "dead from causes not followed here",
        "1",
        0.015,
        0.0005,
        0.3,
        "logit",
        "judged",
        "judged",
        "chance",
        "",
        True,
        0.6,
    ),
    Row(
        "plug_correlation",
        "likeness of plugs from one zone",
        "1",
        0.15,
        0.005,
        0.8,
        "logit",
        "judged; 0.1-0.3 in plant disease sampling (Hughes, Madden 1993)",
        "judged",
        "chance",
        "",
        True,
        0.6,
    ),
    _set(
        "survey_precision",
        "how closely a zone's dead share follows its expectation",
        "1",
        10.0,
        2.0,
        50.0,
        "judged",
    ),
    _set(
        "ice_zone_spread",
        "likeness of zones in the days without air they stand (spread of its logarithm)",
        "1",
        0.2,
        0.0,
        0.6,
        "judged; a fit alone uses it",
    ),
    _set("drying_days", "drying days that kill half", "d", 25.0, 10.0, 60.0, "judged"),
    _set("drying_steepness", "how sharply death by drying comes", "1", 4.0, 2.0, 10.0, "judged"),
    _set("mould_days_pink", "pink-mould days with half the mould", "d", 70.0, 30.0, 150.0, "judged"),
    _set(
        "mould_days_grey",
        "grey-mould days with half the mould",
        "d",
        80.0,
        30.0,
        150.0,
        "judged from trade notes: moderate below 40-60 days of snow, severe above 90",
    ),
    _set("mould_steepness", "how sharply snow mould comes", "1", 6.0, 2.0, 12.0, "judged"),
    _set(
        "mould_most",
        "most that each snow mould kills; lower it where turf is treated in autumn",
        "1",
        0.7,
        0.0,
        1.0,
        "judged, untreated turf",
    ),
    _set("spring_frost_spread", "how gradually a spring frost kills", "K", 1.0, 0.25, 4.0, "as cold, judged"),
)
