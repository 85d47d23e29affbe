"""Rows that act on the plug: green-up in the warm, misreading, and what a batch can do wrong.

None is learned from damage. Where a row has `sd`, the plug model integrates over it.
"""

from typing import Final

from winterrisk.thresholds.row import Row, Shape

GREEN_UP: Final = "Plug practice on greens: annual bluegrass 5-7 days on a warm sill, 14 days late; judged"
JUDGED: Final = "judged"


def _row(
    name: str,
    label: str,
    unit: str,
    value: float,
    low: float,
    high: float,
    *,
    shape: Shape = "fixed",
    sd: float | None = None,
    source: str = JUDGED,
    species: str = "",
    note: str = "",
) -> Row:
    return Row(
        name,
        label,
        unit,
        value,
        low,
        high,
        shape,
        source,
        "judged",
        "chance",
        species=species,
        sd=sd,
        note=note,
    )


def _median(species: str, value: float, low: float, high: float, source: str = JUDGED) -> Row:
    return _row(
        "plug_median",
        "warmth by which half the live plugs show new growth",
        "degC d",
        value,
        low,
        high,
        shape="lognormal",
        sd=0.25,
        source=source,
        species=species,
    )


PLUG_ROWS: tuple[Row, ...] = (
    _row("plug_base_temperature", "no green-up below this", "degC", 5.0, 3.0, 7.0),
    _row("plug_top_temperature", "more warmth than this does not hurry green-up", "degC", 25.0, 20.0, 30.0),
    _row(
        "plug_half_light",
        "daily light at which green-up runs at half its fastest",
        "mol m-2 d-1",
        4.0,
        1.0,
        10.0,
    ),
    _row(
        "plug_reference_light",
        "daily light the medians are given for: a bright sill",
        "mol m-2 d-1",
        3.0,
        1.0,
        8.0,
    ),
    _median("annual_bluegrass", 90.0, 45.0, 180.0, GREEN_UP),
    _median("creeping_bent", 130.0, 100.0, 180.0, GREEN_UP),
    _median("velvet_bent", 140.0, 100.0, 200.0),
    _median("colonial_bent", 125.0, 90.0, 180.0),
    _median("perennial_ryegrass", 85.0, 45.0, 150.0),
    _median("kentucky_bluegrass", 130.0, 90.0, 200.0),
    _median("fine_fescue", 105.0, 70.0, 170.0),
    _median("timothy", 90.0, 50.0, 160.0),
    _median("winter_wheat", 70.0, 40.0, 130.0),
    _row(
        "plug_spread",
        "spread of the log warmth between live plugs",
        "1",
        0.40,
        0.15,
        0.90,
        shape="lognormal",
        sd=0.30,
    ),
    _row(
        "plug_false_green",
        "chance that a dead plug is called green",
        "1",
        0.03,
        0.001,
        0.2,
        shape="logit",
        sd=0.7,
        note="green stain, algae, tissue from before the freeze, a weed",
    ),
    _row(
        "plug_missed_green",
        "chance that a live plug is never called green",
        "1",
        0.05,
        0.001,
        0.3,
        shape="logit",
        sd=0.7,
    ),
    _row("plug_slip", "chance that one reading of a plug is written down wrong", "1", 0.01, 0.0, 0.1),
    _row("plug_green_from", "new growth from which a plug reads green", "1", 0.05, 0.01, 0.2),
    _row("plug_strong_growth", "new growth a stain seldom imitates", "1", 0.30, 0.1, 0.6),
    _row(
        "plug_strong_alive", "chance that a live plug called green shows strong growth", "1", 0.50, 0.2, 0.9
    ),
    _row(
        "plug_strong_false", "chance that a dead plug called green shows strong growth", "1", 0.10, 0.01, 0.4
    ),
    _row("plug_first_day", "before this day green without new growth says nothing", "d", 4.0, 2.0, 7.0),
    _row("plug_crowns_lost", "chance that crowns were cut off where nobody noted it", "1", 0.10, 0.0, 0.4),
    _row(
        "plug_batch_failure",
        "chance that nothing in a batch can green up",
        "1",
        0.05,
        0.005,
        0.2,
        shape="logit",
        sd=0.6,
        note="tray dried out, room dark or cold",
    ),
    _row("plug_control_dead", "chance that a known-good control was dead when cut", "1", 0.02, 0.001, 0.1),
    _row(
        "plug_control_green",
        "a brown control has failed when this share of live plugs would be green",
        "1",
        0.80,
        0.6,
        0.99,
    ),
    _row(
        "plug_control_days",
        "a brown control has not failed before this day in the warm",
        "d",
        13.0,
        7.0,
        21.0,
        source="common practice, no source: brown at two weeks is dead",
    ),
    _row(
        "plug_last_green",
        "a plug has had its time when this share of live plugs would be green",
        "1",
        0.95,
        0.8,
        0.99,
    ),
    _row(
        "plug_prior_correlation",
        "how far plugs of a zone share their fate before its chance is known",
        "1",
        0.35,
        0.1,
        0.7,
        note="patchy damage and doubt about the chance together",
    ),
    _row(
        "plug_spot_correlation",
        "likeness of plugs cut at one spot",
        "1",
        0.6,
        0.3,
        0.9,
        note="used only to say what a number of plugs proves",
    ),
    _row("plug_prior_dead", "chance of dead where nothing else is known", "1", 0.20, 0.02, 0.8),
    _row("plug_confidence", "chance from which a plug is called", "1", 0.95, 0.8, 0.99),
    _row(
        "plug_thaw_hours",
        "hours from the cut to warmth where nobody noted it: overnight somewhere cool",
        "h",
        16.0,
        0.0,
        48.0,
        source="common practice, no source",
    ),
    _row("plug_room_temperature", "room where nobody noted it", "degC", 20.0, 10.0, 25.0),
    _row("plug_room_doubt", "doubt of the log warmth in a room nobody measured", "1", 0.20, 0.05, 0.5),
    _row("plug_sill_light", "daily light on a winter sill", "mol m-2 d-1", 3.0, 0.5, 10.0),
    _row(
        "plug_lamp_light",
        "light just beneath a bright lamp",
        "mol m-2 h-1",
        1.25,
        0.2,
        2.5,
        note="about 350 umol m-2 s-1; burnt day and night at 20 degC live plugs then break in two to three days",
    ),
    _row("plug_lamp_hours", "hours a lamp is on where nobody noted it", "h d-1", 16.0, 8.0, 24.0),
)
