"""Words of the trade and the numbers they stand for: grasses, templates, presets, the station's columns."""

from datetime import date
from typing import get_args

import pytest

from winterrisk.course import (
    PRESETS,
    TEMPLATES,
    UNITS_OF,
    course_from_text,
    is_warm_season,
    species_meant,
    starter,
)
from winterrisk.course.area import Facing, TemplateName
from winterrisk.course.directions import DIRECTIONS, azimuth
from winterrisk.course.grasses import SYNONYMS
from winterrisk.course.place import Region
from winterrisk.course.presets import NO_PRESET
from winterrisk.course.season_dates import day_in_winter
from winterrisk.course.station import Columns
from winterrisk.thresholds.species import LABELS, SPECIES
from winterrisk.weather.units import SCALES
from winterrisk.weather.variables import VARIABLES


@pytest.mark.parametrize(
    ("written", "species"),
    [
        ("Poa", "annual_bluegrass"),
        ("poa annua", "annual_bluegrass"),
        ("Annual Bluegrass", "annual_bluegrass"),
        ("tunrapp", "annual_bluegrass"),
        ("vitgröe", "annual_bluegrass"),
        ("VITGRÖE", "annual_bluegrass"),
        ("bent", "creeping_bent"),
        ("creeping bentgrass", "creeping_bent"),
        ("creeping-bent", "creeping_bent"),
        ("velvet bent", "velvet_bent"),
        ("browntop", "colonial_bent"),
        ("ryegrass", "perennial_ryegrass"),
        ("Kentucky bluegrass", "kentucky_bluegrass"),
        ("rødsvingel", "fine_fescue"),
        ("red fescue", "fine_fescue"),
        ("oak", None),
        ("", None),
    ],
)
def test_grasses_are_known_by_their_usual_names(written: str, species: str | None) -> None:
    assert species_meant(written) == species


def test_no_name_means_two_grasses_and_none_is_warm_season() -> None:
    for species, names in SYNONYMS.items():
        for name in (*names, species, LABELS[species]):
            assert species_meant(name) == species, name
            assert not is_warm_season(name), name
    assert set(SYNONYMS) == set(SPECIES)


def test_the_nine_templates_hold_sane_numbers() -> None:
    assert set(TEMPLATES) == set(get_args(get_args(TemplateName)[0]))
    assert len(TEMPLATES) == 9
    for name, spot in TEMPLATES.items():
        assert 0 <= spot.holds_water <= 30, f"{name}: depressions of a green hold 0-30 mm"
        assert 0.5 <= spot.slope <= 8, name
        assert spot.source and spot.means
    assert max(TEMPLATES, key=lambda name: TEMPLATES[name].holds_water) == "low spot"
    assert min(TEMPLATES, key=lambda name: TEMPLATES[name].holds_water) == "ridge"
    wet = {name for name, spot in TEMPLATES.items() if spot.drainage == "poor"}
    assert wet == {"low spot", "collar dam", "irrigation low"}


def test_every_template_resolves_in_a_course() -> None:
    zones = "\n".join(f'[[areas.zones]]\nname = "{name}"\ntemplate = "{name}"' for name in TEMPLATES)
    text = starter().replace("[station]", f'[[areas]]\nname = "all"\n{zones}\n[station]', 1)
    views = {view.template: view for view in course_from_text(text).zones() if view.area == "all"}
    assert views["north slope"].faces == 0.0
    assert views["afternoon shade"].horizon[11] == 35.0 and views["afternoon shade"].exposure == -1.0
    assert views["ridge"].exposure == 1.0 and views["ridge"].snow == "blows off"
    assert sum(view.share for view in views.values()) == pytest.approx(1.0)


def test_presets_hold_sane_answers() -> None:
    assert set(PRESETS) == set(get_args(get_args(Region)[0]))
    for preset in (*PRESETS.values(), NO_PRESET):
        assert sum(preset.turf.values()) == pytest.approx(1.0)
        assert set(preset.turf) <= set(SPECIES)
        assert 5 <= preset.thatch <= 25
        dates = [
            day_in_winter(text, "2024-25") for text in (preset.seed_order, preset.sod_order, preset.opening)
        ]
        assert date(2025, 2, 1) <= dates[0] <= dates[1] <= dates[2] <= date(2025, 6, 1)
        assert preset.source


def test_the_compass_runs_clockwise_from_north() -> None:
    assert [azimuth(direction) for direction in ("N", "E", "S", "W", "NNW")] == [0, 90, 180, 270, 337.5]
    assert set(get_args(get_args(Facing)[0])) == {"flat", *DIRECTIONS}


def test_the_stations_columns_are_the_weather_variables_with_units_that_can_be_read() -> None:
    assert set(UNITS_OF) == set(VARIABLES)
    assert set(Columns.model_fields) == {"time", *UNITS_OF}
    for name, units in UNITS_OF.items():
        scale = SCALES[VARIABLES[name].unit]
        assert set(units) <= set(scale), name
        assert scale[units[0]] == (1.0, 0.0), f"{name}: the unit taken when none is written must be ours"


def test_columns_by_heading_alone_or_with_a_unit() -> None:
    text = starter().replace(
        'file = "station.csv"',
        'columns = {air_temperature = {column = "TempF", unit = "DegF"}, wind_speed = "Wind", time = "Date"}',
    )
    columns = course_from_text(text).station.columns
    assert {name: (column.column, column.unit) for name, column in columns.written().items()} == {
        "air_temperature": ("TempF", "degF"),
        "wind_speed": ("Wind", None),
    }
    assert columns.time == "Date"


@pytest.mark.parametrize("delimiter", [",", ";", "\\t", "|", " "])
def test_every_delimiter_is_kept_as_written(delimiter: str) -> None:
    text = starter().replace('file = "station.csv"', f'delimiter = "{delimiter}"')
    assert course_from_text(text).station.delimiter == delimiter.replace("\\t", "\t")


def test_light_in_the_plug_room_follows_its_kind() -> None:
    sill = course_from_text(starter() + "\n[plug_room]\n").plug_room
    lamp = course_from_text(starter() + '\n[plug_room]\nkind = "lamp"\nlight_hours = 16\n').plug_room
    assert (sill.light_hours, sill.light_mol) == (None, None)
    assert (lamp.light_hours, lamp.light_mol) == (16.0, None)
    assert course_from_text(starter()).plug_room == sill
