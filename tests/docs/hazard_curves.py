"""The numbers of the hazard pictures: curves worked by the hazards, ranges read from the published cases."""

import dataclasses
from collections.abc import Callable

import numpy as np
from hazard_lines import (
    BENT,
    BLUEGRASS,
    OTHER,
    PALE,
    Case,
    Line,
    Picture,
    Ranges,
    cases,
    over_days,
    swept,
    turf_scores,
    with_series,
)


def _colder(case: Case, day: int, low: float) -> Case:
    """The case with the minimum of one part set, and its mean not below it."""
    series = [dict(part) for part in case.series]
    series[day]["crown_min"] = low
    series[day]["crown_mean"] = max(low, series[day]["crown_mean"])
    series[day]["crown_max"] = max(series[day]["crown_mean"], series[day]["crown_max"])
    return dataclasses.replace(case, series=tuple(series))


def hardiness() -> Picture:
    """Kill temperature from September to the end of March."""
    lines, day_of = [], {}
    for grass, colour, name, spring in (
        ("annual bluegrass", BLUEGRASS, "C3 AB midwinter", "spring AB day 25"),
        ("creeping bent", BENT, "C3 CB midwinter", "spring CB day 25"),
    ):
        frozen = {"days": 20.0, "crown_min": -3.0, "crown_mean": -2.0, "crown_max": -1.0}
        case = with_series(name, [*cases()[name].series, frozen, *cases()[spring].series])
        kill = turf_scores.harm_of(case)["kill_temperature"].to_numpy()
        lines.append(Line(grass, np.arange(1, len(kill) + 1, dtype=float), kill, colour))
        autumn = sum(part["days"] for part in cases()["C3 AB fall"].series)
        midwinter = sum(part["days"] for part in cases()[name].series)
        day_of = {"soft": 3.0, "fall": autumn, "midwinter": midwinter, "spring": float(len(kill))}
    return Picture(
        "hardiness",
        "Kill temperature through an autumn, a winter and a spring",
        "Made-up prairie winter from 1 September, snow off about 1 March.",
        "days since 1 September",
        "kill temperature, °C",
        tuple(lines),
        (
            Ranges(
                "published, annual bluegrass",
                {
                    "C2 AB soft": day_of["soft"],
                    "C3 AB fall": day_of["fall"],
                    "C3 AB midwinter": day_of["midwinter"],
                    "spring AB day 25": day_of["spring"],
                },
                BLUEGRASS,
            ),
            Ranges(
                "published, creeping bent",
                {"C2 CB soft": day_of["soft"] - 2.0, "C3 CB midwinter": day_of["midwinter"] + 2.0},
                BENT,
            ),
        ),
    )


def cold() -> Picture:
    """Dead share against the coldest night."""
    x = np.linspace(-40.0, -2.0, 77)

    def at(name: str, day: int) -> Callable[[float], Case]:
        return lambda low: _colder(cases()[name], day, low)

    return Picture(
        "cold",
        "Cold: one night's crown minimum against the kill temperature",
        "Kill temperature -21.5 °C and -44 °C at the start of the days.",
        "crown minimum of one night, °C",
        "dead share",
        (
            swept("bluegrass, hardened", x, at("cold AB -24", 1), BLUEGRASS, only="cold"),
            swept(
                "bluegrass, after 5 days at 8 °C",
                x,
                at("cold AB -12 after 5 d at 8", 1),
                BLUEGRASS,
                "--",
                only="cold",
            ),
            swept(
                "creeping bent, after 5 days at 8 °C",
                x,
                at("cold CB -12 after 5 d at 8", 1),
                BENT,
                "--",
                only="cold",
            ),
        ),
        (
            Ranges(
                "published, bluegrass",
                {
                    "cold AB -24": -24.0,
                    "cold AB -18": -18.0,
                    "cold AB -12 hardened": -12.3,
                    "cold AB -12 after 5 d at 8": -12.0,
                },
                BLUEGRASS,
            ),
            Ranges("published, bent", {"cold CB -24": -24.4, "cold CB -12 after 5 d at 8": -11.7}, BENT),
        ),
    )


def wet_freeze() -> Picture:
    """Dead share by the freeze after a thaw, soaked and dry."""
    x = np.linspace(-24.0, -1.0, 70)

    def at(name: str) -> Callable[[float], Case]:
        def case(low: float) -> Case:
            series = [dict(part) for part in cases()[name].series]
            for part, share in zip(series[-3:], (0.55, 1.0, 1.0), strict=True):
                part |= {"crown_min": share * low, "crown_mean": 0.6 * share * low, "crown_max": 0.0}
            return dataclasses.replace(cases()[name], series=tuple(series))

        return case

    def coldest(where: str) -> dict[str, float]:
        names = [f"event {event} AB {where}" for event in (1, 2, 3)]
        return {name: min(part["crown_min"] for part in cases()[name].series[-2:]) for name in names}

    return Picture(
        "wet_freeze",
        "Wet freeze: a thaw, then a freeze, on soaked and on dry crowns",
        "Size of the shift judged. Three trade reports of thaw, then freeze; crown days invented round them.",
        "crown minimum of the freeze, °C",
        "dead share",
        (
            swept("bluegrass, soaked in four days of thaw", x, at("event 1 AB wet"), BLUEGRASS),
            swept("bluegrass, soaked in a longer, warmer thaw", x, at("event 3 AB wet"), BLUEGRASS, "-."),
            swept("bluegrass, dry ridge, four days of thaw", x, at("event 1 AB ridge"), BLUEGRASS, "--"),
            swept("creeping bent, soaked crown", x, at("event 1 CB wet"), BENT),
        ),
        (
            Ranges("reported, bluegrass in low wet spots", coldest("wet"), BLUEGRASS),
            Ranges("reported, bluegrass on ridges", coldest("ridge"), PALE),
        ),
    )


def ice() -> Picture:
    """Dead share against days under ice."""

    def iced(name: str, start: float) -> Case:
        part = {"days": 150.0, "crown_min": -3.0, "crown_mean": -3.0, "crown_max": -3.0, "sealed": 1.0}
        return dataclasses.replace(cases()[name], start_kill=start, series=(part,))

    return Picture(
        "ice",
        "Ice in contact with the turf, crown at -3 °C",
        "Kill temperature at the start in brackets. Published days were at crowns of -1 to -4 °C.",
        "days sealed",
        "dead share",
        (
            over_days("ryegrass (-15 °C)", iced("C8 PRG 16 d", -15.0), OTHER, ":"),
            over_days("bluegrass, poorly hardened (-12 °C)", iced("ice -3 AB 45 d", -12.0), BLUEGRASS, "--"),
            over_days("bluegrass (-21.5 °C)", iced("ice -3 AB 45 d", -21.5), BLUEGRASS),
            over_days("creeping bent (-40 °C)", iced("ice -3 CB 90 d", -40.0), BENT),
        ),
        (
            Ranges("published, ryegrass", {"C8 PRG 16 d": 16.0, "C8 PRG 25 d": 25.0}, OTHER),
            Ranges(
                "published, bluegrass",
                {
                    "AB 28 d of 25 mm ice": 28.0,
                    "C9 AB 40 d without air": 40.0,
                    "ice -3 AB 45 d": 45.0,
                    "Michigan 2014 AB plugs": 50.0,
                    "C10 AB 60 d at -4": 60.0,
                    "air 70 d ice": 70.0,
                    "C10 AB 80 d at -4": 80.0,
                    "ice -3 AB 90 d": 90.0,
                },
                BLUEGRASS,
            ),
            Ranges(
                "published, bent",
                {"ice -3 CB 90 d": 92.0, "C11 CB 119 d": 119.0, "ice -3 CB 120 d": 121.0},
                BENT,
            ),
        ),
    )


def drying() -> Picture:
    """Dead share against drying days."""
    part = {"days": 70.0, "crown_min": -6.0, "crown_mean": -4.0, "crown_max": -2.0}

    def bare(name: str, **more: float) -> Case:
        return with_series(name, [{**part, **more}])

    return Picture(
        "drying",
        "Drying: bare, frozen, windy days",
        "No dose is published: the days are judged from where and when it was seen.",
        "drying days (3 mm asked of frozen turf in each)",
        "dead share",
        (
            over_days("bents, bluegrass", bare("drying 35 d bare"), BENT, only="drying"),
            over_days("Kentucky bluegrass, fescue", bare("drying 35 d KBG"), OTHER, "--", only="drying"),
            over_days("under 20 cm of snow", bare("drying 35 d bare", snow_m=0.2), PALE, ":", only="drying"),
        ),
        (
            Ranges("seen, bents", {"drying 7 d bare": 7.0, "drying 35 d bare": 35.0}, BENT),
            Ranges("seen, Kentucky bluegrass", {"drying 35 d KBG": 35.8}, OTHER),
            Ranges("seen, under snow", {"drying 35 d snow": 34.2}, PALE),
        ),
    )


def _under_snow(mean: float) -> Case:
    """140 days under snow with the crown at one temperature [degC]."""
    part = {"days": 140.0, "crown_min": mean, "crown_mean": mean, "crown_max": mean, "snow_m": 0.4}
    return with_series("mould 50 d", [part])


def snow_mould_pink() -> Picture:
    """Dead share against days under snow on unfrozen ground."""
    only = "snow_mould_pink"
    noted = {f"mould {days:g} d": days for days in (30.0, 50.0, 60.0, 90.0, 100.0)}
    return Picture(
        only,
        "Pink snow mould: snow on unfrozen ground",
        "Untreated turf. No dose is published; on unfrozen ground both moulds grow, so the ranges are of both.",
        "days under 40 cm of snow, crown at 0.2 °C",
        "dead share",
        (
            over_days("both moulds", _under_snow(0.2), BLUEGRASS),
            over_days("pink alone", _under_snow(0.2), OTHER, "--", only=only),
            over_days("pink alone, crown at -1 °C", _under_snow(-1.0), PALE, ":", only=only),
        ),
        (Ranges("trade notes: moderate to 60 days, severe from 90", noted, BLUEGRASS),),
    )


def snow_mould_grey() -> Picture:
    """Dead share against days under snow on ground just below freezing."""
    only = "snow_mould_grey"
    return Picture(
        only,
        "Grey snow mould: long snow near freezing",
        "Untreated turf. No dose is published: days judged from trade notes.",
        "days under 40 cm of snow",
        "dead share",
        (
            over_days("crown at -0.5 °C or warmer", _under_snow(-0.5), BLUEGRASS, only=only),
            over_days("crown at -1.5 °C", _under_snow(-1.5), OTHER, "--", only=only),
            over_days("crown at -5 °C", _under_snow(-5.0), PALE, ":", only=only),
        ),
        (
            Ranges("judged from notes, just below 0 °C", {"mould 75 d near freezing": 75.0}, BLUEGRASS),
            Ranges("judged from notes, -5 °C", {"mould 100 d cold ground": 100.0}, PALE),
        ),
    )


def spring_frost() -> Picture:
    """Dead share against one frost in spring."""
    x = np.linspace(-16.0, 0.0, 65)

    def at(name: str) -> Callable[[float], Case]:
        return lambda low: _colder(cases()[name], -1, low)

    return Picture(
        "spring_frost",
        "Spring frost: one night on turf that has begun to grow",
        "Spread judged. Turf of both greens grasses in growth dies near -5 °C.",
        "crown minimum of the frost, °C",
        "dead share",
        (
            swept("bluegrass, 25 days after snow", x, at("spring frost AB -9"), BLUEGRASS),
            swept("creeping bent in full growth", x, at("spring frost CB -8 in growth"), BENT, "--"),
            swept("creeping bent, 12 days after snow", x, at("spring frost CB -8 day 12"), BENT),
        ),
        (
            Ranges(
                "published, bluegrass", {"spring frost AB -9": -9.0, "spring frost AB -2": -2.0}, BLUEGRASS
            ),
            Ranges(
                "published, bent",
                {
                    "spring frost CB -8 in growth": -8.0,
                    "spring frost CB -3 in growth": -3.0,
                    "spring frost CB -8 day 12": -7.7,
                },
                BENT,
            ),
        ),
    )


def pictures() -> tuple[Picture, ...]:
    """Every picture, in the order of the page."""
    makers = (hardiness, cold, wet_freeze, ice, drying, snow_mould_pink, snow_mould_grey, spring_frost)
    return tuple(maker() for maker in makers)
