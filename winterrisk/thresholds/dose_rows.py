"""Rows that act on the dose: how each grass hardens and softens, and what winter days do to it."""

from typing import Literal

from winterrisk.thresholds.row import Row, Shape
from winterrisk.thresholds.species import LABELS, SPECIES

_Status = Literal["published", "judged"]
_JUDGED = "judged"
_CASES = "judged, so that the published cases of the turf table are met"


def _shared(
    name: str,
    label: str,
    unit: str,
    value: float,
    low: float,
    high: float,
    source: str,
    status: _Status = "judged",
    shape: Shape = "uniform",
    note: str = "",
) -> Row:
    return Row(name, label, unit, value, low, high, shape, source, status, "dose", note=note)


def _fixed(name: str, label: str, unit: str, value: float, source: str, status: _Status = "judged") -> Row:
    return Row(name, label, unit, value, value, value, "fixed", source, status, "dose")


SHARED_DOSE_ROWS: tuple[Row, ...] = (
    _shared(
        "mould_left_by_spray",
        "share of mould days left by an autumn spray",
        "1",
        0.35,
        0.2,
        0.5,
        _JUDGED,
    ),
    _shared(
        "mould_pace",
        "how many days of mould a day of mould weather counts for",
        "1",
        1.0,
        0.6,
        1.6,
        "judged: no published dose",
        shape="loguniform",
    ),
    _shared(
        "soft_kill",
        "kill temperature of turf in growth",
        "degC",
        -4.0,
        -5.0,
        -3.0,
        "Tompkins, Bubar, Toews, Ross 1995, 1996 (Prairie Turfgrass Research Centre reports)",
        "published",
    ),
    _shared("target_width", "how gently hardening fades with warmth", "K", 2.5, 1.5, 4.0, _JUDGED),
    _shared("ceiling_loss", "hardening capacity lost with each unit softened", "1", 0.5, 0.2, 0.8, _JUDGED),
    _shared(
        "cold_days_needed",
        "cool days before re-hardening starts to fade",
        "d",
        49.0,
        20.0,
        60.0,
        "Fowler et al. 2014, winter wheat; turf judged",
        "published",
    ),
    _shared(
        "reharden_days",
        "days over which re-hardening fades",
        "d",
        140.0,
        100.0,
        160.0,
        "Hoglind et al. 2016, timothy (134-145 d); turf judged",
        "published",
    ),
    _shared(
        "snow_cost",
        "hardiness lost to breathing under deep snow, times relative respiration",
        "K d-1",
        0.3,
        0.0,
        0.54,
        "Bergjord, Bonesmo, Skjelvag 2008 (0.54, winter wheat); turf judged",
    ),
    _shared(
        "swing_cost",
        "hardiness lost at each thaw then freeze",
        "K",
        1.5,
        0.5,
        2.5,
        "Gusta, Fowler 1977: 5 degC after two cycles in cereals; turf judged",
    ),
    _fixed("swing_cap", "most that swings can cost", "K", 5.0, "Gusta, Fowler 1977", "published"),
    _shared("swing_fading", "days in which the cost of swings fades", "d", 10.0, 5.0, 20.0, _JUDGED),
    _fixed("dry_swing_share", "share of the swing cost that a dry crown pays", "1", 0.3, _JUDGED),
    _shared(
        "exposure_cost",
        "hardiness lost with each e-fold of days near the kill temperature",
        "K",
        0.5,
        0.0,
        1.0,
        "shape after Anderson 2003 (bermudagrass); size judged",
    ),
    _fixed(
        "exposure_margin", "a day counts as near the kill temperature below this margin", "K", 3.0, _JUDGED
    ),
    _fixed(
        "offset_least",
        "share of the cold offset that soft or soaked turf takes",
        "1",
        1.0 / 3.0,
        "soft turf is known within -3 to -5 degC, hardened turf within some 3 K more; judged",
    ),
    _shared("wetting_days", "days of standing water that fill a crown", "d", 1.0, 0.5, 2.0, _JUDGED),
    _shared("drying_out_days", "days in which a thawed crown dries out again", "d", 5.0, 3.0, 7.0, _JUDGED),
    _shared(
        "drying_out_days_frozen",
        "days in which a frozen crown dries out again",
        "d",
        10.0,
        5.0,
        20.0,
        _JUDGED,
    ),
    _shared(
        "fast_freeze_cost",
        "hardiness a full crown loses when it freezes fast",
        "K",
        2.0,
        0.0,
        5.0,
        "judged; fast change is worse in Gusta, Fowler 1977",
    ),
    _fixed("fast_freeze_rate", "cooling above which a freeze is fast", "K h-1", 2.0, _JUDGED),
    _fixed("soaked_kill", "kill temperature of a crown full of water", "degC", -4.0, _JUDGED),
    _fixed("warmest_wet_kill", "a freeze above this kills no soaked crown", "degC", -3.0, _JUDGED),
    _shared(
        "ice_warmth",
        "days without air count this much more for each 10 K",
        "1",
        1.7,
        1.0,
        3.0,
        "fitted loosely to published ice cases, judged",
        note="published evidence points both ways",
    ),
    _shared(
        "ice_hardiness_cost",
        "share of hardening that half a kill by ice takes from survivors",
        "1",
        0.4,
        0.3,
        0.5,
        "fitted to Andrews, Pomeroy 1975 (wheat lost 8-12 degC in a week of ice)",
        "published",
    ),
    _shared(
        "air_refill_days", "days in which the air store fills again once open", "d", 1.0, 0.5, 3.0, _JUDGED
    ),
    _shared(
        "ice_relief_days",
        "days of air in which the ice dose fades",
        "d",
        4.0,
        2.0,
        10.0,
        "that a thaw raised survival: Andrews, Pomeroy 1975; pace judged",
    ),
    _fixed("spring_from", "day of the year from which spring may begin", "d", 32.0, _JUDGED),
    _fixed(
        "spring_full",
        "day of the year from which warmth counts fully for spring",
        "d",
        80.0,
        "days of twelve hours; day length holds wheat back in Byrns et al. 2020; size judged",
    ),
    _shared(
        "spring_relapse_days",
        "frozen days in which warmth gathered before fades",
        "d",
        5.0,
        3.0,
        10.0,
        "growth is counted from frost-out (trade magazine, Alberta); pace judged",
    ),
    _fixed("spring_frost_stage", "growth share from which a frost is a spring frost", "1", 0.5, _JUDGED),
    _fixed("mould_snow_depth", "snow deep enough for snow mould", "m", 0.02, _JUDGED),
    _fixed("pink_open_share", "what a wet cool day without snow counts for pink mould", "1", 0.2, _JUDGED),
    _fixed(
        "pink_warmest",
        "pink mould needs no snow below this crown temperature",
        "degC",
        10.0,
        "near 0 to 16 degC in extension texts, active growth outgrows it above 10; judged",
    ),
    _shared(
        "grey_coldest", "grey mould rests below this crown temperature", "degC", -3.0, -5.0, -1.0, _JUDGED
    ),
)

_COLUMNS = (
    "kill_limit",
    "cool_share",
    "cool_midpoint",
    "cool_rate",
    "frost_rate",
    "frost_softening",
    "cool_softening",
    "spring_heat",
    "drying_pace",
)

_BY_SPECIES: dict[str, tuple[float, ...]] = {
    "annual_bluegrass": (-21.5, 0.62, 6.2, 0.085, 0.075, 1.9, 1.2, 130.0, 1.0),
    "creeping_bent": (-44.0, 0.80, 9.5, 0.043, 0.060, 0.75, 0.30, 260.0, 1.0),
    "velvet_bent": (-28.0, 0.92, 10.0, 0.076, 0.037, 0.80, 0.24, 260.0, 1.0),
    "colonial_bent": (-24.5, 0.80, 9.3, 0.092, 0.050, 0.80, 0.25, 230.0, 1.0),
    "perennial_ryegrass": (-15.5, 0.80, 12.0, 0.110, 0.045, 0.90, 0.25, 150.0, 1.0),
    "kentucky_bluegrass": (-27.5, 0.70, 9.7, 0.078, 0.050, 0.80, 0.25, 220.0, 0.7),
    "fine_fescue": (-25.3, 0.80, 9.7, 0.088, 0.050, 0.80, 0.205, 200.0, 0.7),
    "timothy": (-26.0, 0.62, 11.7, 0.080, 0.050, 1.0, 0.23, 200.0, 1.0),
    "winter_wheat": (-25.5, 0.90, 11.0, 0.082, 0.050, 0.3, 0.15, 200.0, 1.0),
}

_KILL_SOURCE = {
    "annual_bluegrass": "Tompkins et al. 1996; Dionne et al. 2001; Espevig et al. 2014",
    "creeping_bent": "Tompkins et al. 1995, 1996; Espevig et al. 2014",
    "velvet_bent": "Espevig, Hoglind, Aamlid 2014",
    "colonial_bent": "Espevig, Hoglind, Aamlid 2014",
    "perennial_ryegrass": "Webster, Ebdon 2005",
    "kentucky_bluegrass": "trade table of mid-winter killing ranges",
    "fine_fescue": "Espevig et al. 2014, mean of two fine fescues",
    "timothy": "Hoglind et al. 2008",
    "winter_wheat": "Byrns et al. 2020, hardy cultivar",
}


def _species_rows(species: str) -> tuple[Row, ...]:
    v = dict(zip(_COLUMNS, _BY_SPECIES[species], strict=True))
    name = LABELS[species]
    kill = v["kill_limit"]
    low, high = (-31.0, -18.0) if species == "annual_bluegrass" else (kill - 6.0, kill + 6.0)
    fitted = species in ("annual_bluegrass", "creeping_bent", "velvet_bent", "timothy")
    source = _CASES if fitted else "judged by likeness to the fitted grasses"

    def scaled(column: str, label: str, unit: str, by: tuple[float, float], why: str = source) -> Row:
        x = v[column]
        return Row(
            column,
            f"{name}: {label}",
            unit,
            x,
            x * by[0],
            x * by[1],
            "loguniform",
            why,
            "judged",
            "dose",
            species,
        )

    return (
        Row(
            "kill_limit",
            f"{name}: hardest kill temperature it can reach",
            "degC",
            kill,
            low,
            high,
            "normal",
            _KILL_SOURCE[species],
            "published",
            "dose",
            species,
            sd=3.0,
            note="a limit; field values stop 1-8 K short of it",
        ),
        Row(
            "cool_share",
            f"{name}: share of hardening won above freezing",
            "1",
            v["cool_share"],
            v["cool_share"] - 0.12,
            min(0.98, v["cool_share"] + 0.12),
            "uniform",
            source,
            "judged",
            "dose",
            species,
        ),
        Row(
            "cool_midpoint",
            f"{name}: temperature at which half the hardening is kept",
            "degC",
            v["cool_midpoint"],
            v["cool_midpoint"] - 2.0,
            v["cool_midpoint"] + 2.0,
            "uniform",
            source,
            "judged",
            "dose",
            species,
        ),
        scaled("cool_rate", "pace of hardening above freezing", "d-1", (0.6, 1.6)),
        scaled("frost_rate", "pace of hardening below freezing", "d-1", (0.6, 1.6)),
        scaled("frost_softening", "pace of losing the frost hardening at 8 degC", "d-1", (0.5, 2.0)),
        scaled("cool_softening", "pace of losing the cool hardening at 8 degC", "d-1", (0.5, 2.0)),
        scaled(
            "spring_heat",
            "warmth after which hardening is over for the spring",
            "K d",
            (0.7, 1.5),
            "growth 20-25 days after frost-out (trade magazine, Alberta) sizes annual bluegrass; "
            "other grasses judged",
        ),
        scaled(
            "drying_pace",
            "how fast it dries against bent",
            "1",
            (0.6, 1.6),
            "judged: no published dose; Kreuser 2019 names Kentucky bluegrass and fescues as hardier",
        ),
    )


DOSE_ROWS: tuple[Row, ...] = (
    *SHARED_DOSE_ROWS,
    *(row for species in SPECIES for row in _species_rows(species)),
    Row(
        "kill_limit_hardy",
        "annual bluegrass, hardy biotype: hardest kill temperature it can reach",
        "degC",
        -27.0,
        -32.0,
        -24.0,
        "normal",
        "Tompkins et al. 1995 (biotype MN42, -27 to -32)",
        "published",
        "dose",
        "annual_bluegrass",
        sd=3.0,
    ),
)
