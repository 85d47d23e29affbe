"""Rows that act on recovery: how fast seed, sod and survivors come back, what covers do, what work takes."""

from typing import Final, Literal

from winterrisk.thresholds.row import Row, Shape

LARSEN: Final = "Larsen and Bibby (2005), Crop Science 45, 2030-2037: half germinated"
BENT_ASSUMED: Final = "not found for bent; assumed base 5 degC and 70-100 degC d, from memory"
BENT_SEEDLINGS: Final = (
    "base and time of ryegrass: twelve bents came up with it, within 2 to 3 days, at 10 degC soil (HortTechnology 31, "
    "42, 2021); low: at 10.0 degC there; high: first seed on day 6 at 25/15 degC (Shim 2020, Weed Turf. Sci. 9)"
)
CLUBS: Final = (
    "seeded mid-April 2014, all greens open on 14 June (one club); 60-80 days for greens badly hurt; judged"
)
JUDGED: Final = "judged"
BENTS: Final = ("creeping_bent", "velvet_bent", "colonial_bent")


def _row(
    name: str,
    label: str,
    unit: str,
    value: float,
    low: float,
    high: float,
    source: str = JUDGED,
    *,
    shape: Shape = "uniform",
    status: Literal["published", "judged"] = "judged",
    species: str = "",
) -> Row:
    return Row(name, label, unit, value, low, high, shape, source, status, "recovery", species=species)


def _germination(
    species: str, base: float, warmth: float, low: float, high: float, source: str = LARSEN
) -> tuple[Row, Row]:
    shape: Shape = "uniform" if high > low else "fixed"
    status: Literal["published", "judged"] = "published" if source == LARSEN else "judged"
    return (
        _row(
            "germination_base", "soil temperature below which seed stands still", "degC", base, base, base,
            source, shape="fixed", status=status, species=species,
        ),
        _row(
            "germination_time", "warmth above it by which half the seed has germinated", "degC d", warmth, low,
            high, source, shape=shape, status=status, species=species,
        ),
    )  # fmt: skip


RECOVERY_ROWS: Final[tuple[Row, ...]] = (
    *_germination("perennial_ryegrass", 3.6, 63.9, 63.9, 63.9),
    *_germination("fine_fescue", 2.6, 43.8, 43.8, 43.8),
    *_germination("kentucky_bluegrass", 2.6, 115.6, 115.6, 115.6),
    *(row for bent in BENTS for row in _germination(bent, 5.0, 85.0, 70.0, 100.0, BENT_ASSUMED)),
    *(
        row
        for bent in BENTS
        for row in (
            _row("emergence_base", "soil temperature below which its first seedlings do not come on", "degC",
                 3.6, 3.6, 3.6, BENT_SEEDLINGS, shape="fixed", species=bent),
            _row("emergence_time", "warmth above it by which its first seedlings show", "degC d", 63.9, 55.0, 88.0,
                 BENT_SEEDLINGS, species=bent),
        )
    ),
    *(
        _row("seed_rate", "seed sown", "g m-2", 7.3, 2.5, 10.0,
             "1.5 lb per 1,000 ft2 on trial greens in Minnesota; range from memory", species=bent)
        for bent in BENTS
    ),
    _row("seed_rate", "seed sown", "g m-2", 70.0, 50.0, 100.0, "from memory", species="perennial_ryegrass"),
    _row("seed_rate", "seed sown", "g m-2", 10.0, 7.0, 15.0, "from memory", species="kentucky_bluegrass"),
    _row("seed_rate", "seed sown", "g m-2", 25.0, 15.0, 35.0, "from memory", species="fine_fescue"),
    _row("seed_soil", "soil at 5 cm, mean of five days, from which seed is sown", "degC", 7.0, 5.0, 10.0,
         "45 degF, one club 2014", shape="fixed"),
    _row("sod_soil", "soil at 5 cm, mean of five days, from which sod and plugs are laid", "degC", 5.0, 3.0, 8.0,
         shape="fixed"),
    _row("growth_base", "soil temperature below which turf does not spread", "degC", 5.0, 3.0, 7.0,
         shape="fixed"),
    _row("establish_time", "warmth from half the seed germinated to nine tenths cover fit for putting", "degC d",
         340.0, 240.0, 500.0, CLUBS),
    _row("sod_days", "days from laying until sod carries play", "d", 32.0, 28.0, 35.0,
         "four to five weeks, practice; judged"),
    _row("plug_knit_time", "warmth until cup-cutter plugs have knitted", "degC d", 120.0, 80.0, 200.0),
    _row("fill_in_time", "warmth in which survivors close a tenth of dead turf; in proportion above", "degC d",
         150.0, 100.0, 250.0, "light loss open in two to three weeks, one club; judged"),
    _row("sod_waste", "sod ordered over sod laid", "1", 1.1, 1.05, 1.2, shape="fixed"),
    _row("cutter_area", "turf in one cup-cutter plug", "m2", 0.0092, 0.008, 0.0095,
         "10.8 cm cup cutter, HortScience 59, 355", shape="fixed", status="published"),
    _row("cover_warmth", "soil under a permeable cover over bare soil in spring", "K", 2.0, 1.0, 4.0, "from memory"),
    _row("cover_days", "days under a permeable cover after sowing at the most", "d", 21.0, 14.0, 28.0,
         "three weeks under cover in April, one club", shape="fixed"),
    _row("cover_off_soil", "uncovered soil at which a permeable cover is no more needed", "degC", 12.0, 10.0, 15.0,
         shape="fixed"),
    _row("cover_air_heat", "air under a woven cover over air outside, for each W m-2 of sun", "K m2 W-1",
         0.03, 0.02, 0.045, "low 80s degF under cover on a sunny day of mid-40s degF, one case; judged",
         shape="fixed"),
    _row("cover_air_warm", "air under a cover that softens turf", "degC", 20.0, 15.0, 27.0, shape="fixed"),
    _row("vent_days", "days after which a sealed cover is aired", "d", 20.0, 10.0, 30.0,
         "air every 10 to 30 days, practice; 160 d without failed", shape="fixed"),
    _row("vent_oxygen", "oxygen under a cover below which it is aired at once", "%", 8.0, 5.0, 12.0,
         "Alberta trials 2014", shape="fixed", status="published"),
    _row("vent_carbon_dioxide", "carbon dioxide under a cover above which it is aired at once", "%", 8.0, 5.0, 12.0,
         "Alberta trials 2014", shape="fixed", status="published"),
    _row("seed_hours", "work to seed 100 m2 (slit or dimple, seed, dress)", "h", 1.5, 1.0, 3.0, shape="fixed"),
    _row("sod_hours", "work to strip and sod 100 m2", "h", 8.0, 5.0, 12.0, shape="fixed"),
    _row("plug_hours", "work for one cup-cutter plug", "h", 0.05, 0.03, 0.1, shape="fixed"),
    _row("cover_hours", "work to lay and lift a cover over 100 m2, once", "h", 0.5, 0.25, 1.0, shape="fixed"),
)  # fmt: skip
