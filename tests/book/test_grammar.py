"""Typed lines: what each means, and what is refused with the word that was not understood."""

import datetime as dt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from winterrisk.book import Book, BookError, Noted, Places, noted
from winterrisk.book.kinds import KINDS, in_unit

TODAY = dt.date(2025, 1, 14)
LOW, RIDGE, SHADE = ("4", "low"), ("4", "ridge"), ("9", "afternoon shade")

OBSERVATIONS: list[tuple[str, tuple[str, str], str, float | None, str]] = [
    ("4 low ice 2cm clear", LOW, "ice_seen", 20, "clear"),
    ("ice 2 cm clear 4 low", LOW, "ice_seen", 20, "clear"),
    ("low 4 ice 2cm", LOW, "ice_seen", 20, ""),
    ("green 4 low: 3/4 in ice, cloudy", LOW, "ice_seen", 19.05, "white"),
    ('4 low 1 1/2" ice solid', LOW, "ice_seen", 38.1, "clear"),
    ("4 low ice 15", LOW, "ice_seen", 15, ""),
    ("4 LOW ICE 2,5 CM BLACK", LOW, "ice_seen", 25, "clear"),
    ("4 low ice sheet 30 mm porous", LOW, "ice_seen", 30, "white"),
    ("4 low iced over", LOW, "ice_seen", None, ""),
    ("4 ridge no ice", RIDGE, "no_ice", None, ""),
    ("no ice on the 4 ridge", RIDGE, "no_ice", None, ""),
    ("4 ridge ice free", RIDGE, "no_ice", None, ""),
    ("9 shade snow 30", SHADE, "snow_depth_seen", 30, ""),
    ("9 shade snow 12 in", SHADE, "snow_depth_seen", 30.48, ""),
    ("9 afternoon shade snow depth 8 inches", SHADE, "snow_depth_seen", 20.32, ""),
    ("snow 30cm in 9 shade", SHADE, "snow_depth_seen", 30, ""),
    ("9 shade bare", SHADE, "snow_depth_seen", 0, ""),
    ("9 shade no snow", SHADE, "snow_depth_seen", 0, ""),
    ("practice collar dam standing water 15mm", ("practice", "collar dam"), "water_seen", 15, ""),
    ("practice dam puddles", ("practice", "collar dam"), "water_seen", None, ""),
    ("4 low no water", LOW, "water_seen", 0, ""),
    ("4 low slush 2cm", LOW, "water_seen", 20, ""),
    ("4 snow 30", ("4", ""), "snow_depth_seen", 30, ""),
    ("snow 12 in everywhere", ("", ""), "snow_depth_seen", 30.48, ""),
    ("all greens snow 20cm", ("", ""), "snow_depth_seen", 20, ""),
    ("4 low cleared", LOW, "snow_cleared", None, ""),
    ("4 low snow removed 2 cm left", LOW, "snow_cleared", 2, ""),
    ("12 drain side snow banked", ("12", "drain side"), "snow_banked", None, ""),
    ("4 ridge packed", RIDGE, "packed", None, ""),
    ("4 low ice removed", LOW, "ice_removed", None, ""),
    ("4 low broke up ice", LOW, "ice_broken", None, ""),
    ("4 low squeegeed", LOW, "water_removed", None, ""),
    ("12 drain side drain side opened", ("12", "drain side"), "drain_side_opened", None, ""),
    ("4 low cut channels", LOW, "drain_side_opened", None, ""),
    ("4 low cover on impermeable", LOW, "cover_on", None, "impermeable"),
    ("4 low tarped woven", LOW, "cover_on", None, "permeable"),
    ("4 low tarp off", LOW, "cover_off", None, ""),
    ("4 low cover opened", LOW, "cover_opened", None, ""),
    ("4 low vented", LOW, "vented", None, ""),
    ("4 low dark sand", LOW, "dark_sand", None, ""),
    ("4 low topdressed", LOW, "sanded", None, ""),
    ("9 open o2 8% co2 9%", ("9", "open"), "gas_seen", 8, "9"),
    ("9 open gas oxygen 7.5 co2 11", ("9", "open"), "gas_seen", 7.5, "11"),
    ("9 open crown temp 25F", ("9", "open"), "crown_temperature_seen", -3.89, ""),
    ("9 open crown -4.5 C", ("9", "open"), "crown_temperature_seen", -4.5, ""),
    ("9 open crown at −4.5 °C", ("9", "open"), "crown_temperature_seen", -4.5, ""),
    ("4 low ice since 28 dec", LOW, "ice_from", 1, ""),
    ("4 low ice since about new year", LOW, "ice_from", 4, ""),
    ("4 low ice from 2025-01-03 +-3d", LOW, "ice_from", 3, ""),
    ("4 low clear ice since christmas", LOW, "ice_from", 1, "clear"),
    ("4 low ice since jan 1st", LOW, "ice_from", 1, ""),
    ("ice since around new year's eve, green 4 low", LOW, "ice_from", 4, ""),
    ("4 low snow 1 ft", LOW, "snow_depth_seen", 30.48, ""),
    ("snow 1.5 feet 9 open", ("9", "open"), "snow_depth_seen", 45.72, ""),
    ("4 low black ice, 3/8 inch thickness", LOW, "ice_seen", 9.53, "clear"),
    ("4 low - snow-ice 1 in", LOW, "ice_seen", 25.4, "white"),
    ('friday 4 low standing water 1/2"', LOW, "water_seen", 12.7, ""),
    ("9 shade bubble tarp on", SHADE, "cover_on", None, "insulated"),
    ("9 shade cover on straw", SHADE, "cover_on", None, "straw"),
    ("practice ridge plowed, 1 in left", ("practice", "ridge"), "snow_cleared", 25.4 / 10, ""),
    ("12 low oxygen 8% co2 9%", ("12", "low"), "gas_seen", 8, "9"),
]


def in_book_unit(said: Noted) -> float | None:
    value = said.values.get("value")
    return None if value is None else in_unit(value, said.values["unit"], KINDS[said.values["kind"]].unit)


@pytest.mark.parametrize(
    ("line", "place", "kind", "value", "detail"), OBSERVATIONS, ids=[o[0] for o in OBSERVATIONS]
)
def test_an_observation_means(
    places: Places, line: str, place: tuple[str, str], kind: str, value: float | None, detail: str
) -> None:
    said = noted(line, places, TODAY)
    assert said.table == "observations"
    assert (said.values["area"], said.values["zone"]) == place
    assert said.values["kind"] == kind
    assert in_book_unit(said) == (None if value is None else pytest.approx(value, abs=0.01))
    assert said.values.get("detail", "") == detail


@pytest.mark.parametrize(
    ("line", "share"),
    [
        ("4 low ice 10mm", 1.0),
        ("4 low ice 60% of it", 0.6),
        ("4 low water half", 0.5),
        ("4 low ice patchy", 0.3),
    ],
)
def test_share_of_the_zone(places: Places, line: str, share: float) -> None:
    assert noted(line, places, TODAY).values["share"] == share


@pytest.mark.parametrize(
    ("line", "day", "clock"),
    [
        ("4 low no ice", None, None),
        ("4 low no ice yesterday 7:30", dt.date(2025, 1, 13), dt.time(7, 30)),
        ("4 low no ice 2025-01-02", dt.date(2025, 1, 2), None),
        ("4 low no ice 14 dec 7am", dt.date(2024, 12, 14), dt.time(7)),
        ("dec 31 4 low ice 20mm", dt.date(2024, 12, 31), None),
        ("4 low ice since about new year", dt.date(2025, 1, 1), None),
        ("4 low ice since 20 jan", dt.date(2024, 1, 20), None),
        ("this morning 4 low snow 5cm", TODAY, None),
        ("friday 4 low snow 5cm", dt.date(2025, 1, 10), None),
        ("tuesday 4 low snow 5cm", TODAY, None),
        ("last tuesday 4 low snow 5cm", dt.date(2025, 1, 7), None),
        ("Sunday 12 jan 4 low snow 5cm", dt.date(2025, 1, 12), None),
        ("4 low snow 5cm jan 2nd", dt.date(2025, 1, 2), None),
    ],
)
def test_days_and_hours(places: Places, line: str, day: dt.date | None, clock: dt.time | None) -> None:
    said = noted(line, places, TODAY)
    assert (said.day, said.clock) == (day, clock)


def test_bare_numbers_are_inches_where_the_course_works_in_inches(places: Places) -> None:
    assert in_book_unit(noted("4 low ice 2", places, TODAY, inches=True)) == pytest.approx(50.8)
    assert in_book_unit(noted("9 shade snow 12", places, TODAY, inches=True)) == pytest.approx(30.48)
    assert in_book_unit(noted("4 low ice 2cm", places, TODAY, inches=True)) == 20


@pytest.mark.parametrize(
    ("line", "table", "wanted"),
    [
        ("plug 4 low A2 5cm", "plugs", {"zone": "low", "spot": "A2", "depth_mm": 50.0, "crowns": "unknown"}),
        ("plug 4 low spot 7 2 in snapped", "plugs", {"spot": "7", "depth_mm": 50.8, "crowns": "no"}),
        (
            "plug 9 shade B1 control crowns attached no ice",
            "plugs",
            {"control": True, "crowns": "yes", "ice_mm": 0.0},
        ),
        ("plug 4 low A2 ice 2cm batch b3 6 cm", "plugs", {"ice_mm": 20.0, "batch": "B3", "depth_mm": 60.0}),
        ("plug 4 low A2 day5 growth 60", "looks", {"spot": "A2", "new_growth": 0.6, "species": "all"}),
        ("plug 4 low A2 day 7 poa 30% growth", "looks", {"species": "annual_bluegrass", "new_growth": 0.3}),
        (
            "look P12 bent no growth brown",
            "looks",
            {"plug": "P12", "species": "creeping_bent", "new_growth": 0.0},
        ),
        ("look P12 growth 5 pale green sour smell", "looks", {"colour": "pale green", "smell": "sour"}),
        ("P12 growth 60", "looks", {"plug": "P12", "new_growth": 0.6}),
        ("look 4 low A2 day7 poa 60 growth", "looks", {"spot": "A2", "new_growth": 0.6}),
        ("plug 4 low A2 2 in ice 3/4 in crowns yes", "plugs", {"depth_mm": 50.8, "crowns": "yes"}),
        ("survey 4 low dead 30-50 ice", "surveys", {"dead_low": 0.3, "dead_high": 0.5, "cause": "ice"}),
        ("survey 12 low 40% dead crown hydration poa", "surveys", {"dead_low": 0.4, "cause": "wet_freeze"}),
        ("survey 9 shade pink snow mold parts", "surveys", {"dead_low": 0.25, "cause": "snow_mould_pink"}),
        ("survey 4 ridge no damage", "surveys", {"dead_low": 0.0, "dead_high": 0.005, "cause": "unknown"}),
    ],
)
def test_plugs_looks_and_surveys(places: Places, line: str, table: str, wanted: dict[str, Any]) -> None:
    said = noted(line, places, TODAY)
    assert said.table == table
    assert {name: said.values[name] for name in wanted} == wanted


def test_the_day_of_a_look_is_the_day_in_the_warm(places: Places) -> None:
    assert noted("plug 4 low A2 day5 growth 60", places, TODAY).day_warm == 5


REFUSED = [
    ("", "an empty line"),
    ("   ", "an empty line"),
    ("ice", "no zone of the course"),
    ("low ice 3mm", "no zone of the course"),
    ("44 low ice 3mm", "did you mean 4 low"),
    ("4 lw ice 2cm", "the word 'lw'.*did you mean 4 low"),
    ("4 low", "nothing seen or done"),
    ("4 low ise 2cm", "the word 'ise'.*did you mean ice"),
    ("4 low ice 2cm 3cm", "two numbers, 2cm and 3cm"),
    ("4 low ice 2cm 3", "number '3' too many"),
    ("4 low ice 2 kg", "the word 'kg'"),
    ("4 low ice 2 yd", "the word 'yd'"),
    ("4 low no ice 2cm", "number '2cm' too many"),
    ("4 low ice not gone", "the word 'not'"),
    ("4 low never any ice", "the word 'never'"),
    ("4 low ice clear purple", "the word 'purple'"),
    ("4 low ice and snow", "snow without a depth"),
    ("4 low ice and snow 10", "'ice'.*one thing a line"),
    ("4 low 9 open ice", "'open'.*one thing a line"),
    ("4 low snow", "snow without a depth"),
    ("4 low crown", "no temperature"),
    ("4 low co2 9", "the word 'co2'"),
    ("4 low o2", "no oxygen"),
    ("4 low ice since", "no day after 'since'"),
    ("4 low ice since 31 feb", "no day after 'since'"),
    ("4 low ice 01/02/2025", "can be read two ways"),
    ("4 low ice 1.2.2025", "can be read two ways"),
    ("4 low ice 2025-13-40", "one day or hour that exists"),
    ("4 low ice 2cm 25:00", "one day or hour that exists"),
    ("4 low ice 2cm 13pm", "one day or hour that exists"),
    ("4 low cover maybe", "the word 'maybe'"),
    ("4 low tarp half on maybe", "the word 'maybe'"),
    ("4 low no cover", "the word 'no'"),
    ("9 shade snow 30 dead", "the word 'dead'"),
    ("4 low ice 10-20 mm", "the number '10-20 mm' too many"),
    ("4 12 snow", "no zone of the course"),
    ("plug low A2", "no zone of the course"),
    ("plug 4 low A2 alive", "the word 'alive'"),
    ("plug 4 low A2 B3", "the word 'b3'"),
    ("look P12 poa 60 bent 20 growth", "'poa'|'bent'|number"),
    ("survey 4 low ice", "no share"),
    ("survey 4 low dead many", "no share"),
    ("survey 4 low 30% 50%", "two numbers"),
    ("4 low ice 2cm; DROP TABLE plugs", "the word 'drop'"),
    ("=1+1", "no zone of the course"),
    ("4 low crown - 4 C", "the word '-'"),
    ("Monday 12 jan 4 low no ice", "the word 'monday'"),
    ("4 low ice " + "the " * 100 + "not", "up to 400"),
]


@pytest.mark.parametrize(("line", "words"), REFUSED, ids=[r[0] or "empty" for r in REFUSED])
def test_a_line_is_refused_with_the_reason(places: Places, line: str, words: str) -> None:
    with pytest.raises(BookError, match=words):
        noted(line, places, TODAY)


WORDS = [
    "4", "9", "12", "low", "ridge", "shade", "practice", "ice", "snow", "water", "no", "2cm", "30",
    "in", "clear", "since", "about", "new", "year", "cover", "on", "off", "plug", "survey", "dead",
    "30-50", "growth", "day5", "poa", "bent", "A2", "yesterday", "7:30", "-4", "C", "%", "half",
    "2025-01-03", "crowns", "control", "batch", "o2", "co2", ";", "'", "=", "\x00", '"',
]  # fmt: skip
VOCABULARY = st.sampled_from(WORDS)


@settings(max_examples=400, deadline=None)
@given(st.one_of(st.text(max_size=60), st.lists(VOCABULARY, max_size=9).map(" ".join)))
def test_any_text_is_understood_or_refused_and_never_else(line: str) -> None:
    places = Places(
        {"4": ("low", "ridge"), "9": ("afternoon shade", "open"), "practice": ("ridge", "collar dam")}
    )
    try:
        said = noted(line, places, TODAY)
    except BookError as refused:
        assert len(refused.faults) == 1 and "\n" not in str(refused).replace(repr(line), "")
        return
    assert said.table in ("observations", "plugs", "looks", "surveys")
    assert said.day is None or said.day <= TODAY or "2025" in line


def test_a_refused_line_never_changes_the_book(book: Book) -> None:
    import numpy as np

    from winterrisk.book import Typed, note_observation, note_survey

    typed = Typed(np.datetime64("2025-01-14T15:00:00"), "America/Chicago")
    before = book.record().hash()
    refused = 0
    for line, _ in REFUSED:
        first, _, rest = line.partition(" ")
        if first in ("plug", "look"):
            continue
        with pytest.raises(BookError):
            note_survey(book, rest, typed) if first == "survey" else note_observation(book, line, typed)
        refused += 1
    assert refused > 30 and book.record().hash() == before
