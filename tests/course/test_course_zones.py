"""Zones with every question answered: own word, then template, area, course, preset."""

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from winterrisk.course import Course, CourseFileError, UnknownZone, course_from_text, read_course, starter
from winterrisk.course.area import zone_shares
from winterrisk.course.shade import horizon_of_word
from winterrisk.thresholds.species import SPECIES

FolderWith = Callable[..., Path]
LOW = 'template = "low spot"'


def test_a_zone_is_called_by_area_and_name(folder_with: FolderWith) -> None:
    course = read_course(folder_with())
    assert course.zone_labels() == ("4 low", "4 open")
    assert [zone.label for zone in course.zones()] == ["4 low", "4 open"]
    assert course.zone("4  LOW") is not None
    assert course.zone_of("4", "low") == course.zone("4 low")


def test_a_bare_number_is_a_name(folder_with: FolderWith) -> None:
    assert read_course(folder_with(('name = "4"', "name = 4"))).zone_labels() == ("4 low", "4 open")


def test_a_zone_the_course_lacks_is_refused_with_the_nearest(folder_with: FolderWith) -> None:
    course = read_course(folder_with())
    with pytest.raises(UnknownZone, match=r'zone: found "4 lwo".*nearest is "4 low"'):
        course.zone("4 lwo")
    with pytest.raises(UnknownZone, match="area"):
        course.area("fourteen")


def test_a_template_answers_and_the_own_word_wins(folder_with: FolderWith) -> None:
    low = read_course(folder_with()).zone("4 low")
    assert (low.holds_water, low.drainage, low.cold_air, low.slope, low.faces) == (
        15.0,
        "poor",
        "pools",
        0.01,
        None,
    )
    own = 'holds_water = 4\ndrainage = "fair"\nslope = 3\nfaces = "SW"\n'
    own += 'wind = "sheltered"\nthatch = 18\nsnow = "drifts in"'
    low = read_course(folder_with((LOW, f"{LOW}\n{own}"))).zone("4 low")
    assert (low.holds_water, low.drainage, low.cold_air, low.snow) == (4.0, "fair", "pools", "drifts in")
    assert (low.slope, low.faces, low.exposure, low.thatch) == (0.03, 225.0, -1.0, 0.018)


def test_zero_written_is_zero_and_not_the_template(folder_with: FolderWith) -> None:
    low = read_course(folder_with((LOW, f"{LOW}\nholds_water = 0\nslope = 0\nthatch = 0"))).zone("4 low")
    assert (low.holds_water, low.slope, low.thatch) == (0.0, 0.0, 0.0)


def test_area_then_course_then_preset_answer(folder_with: FolderWith) -> None:
    course = read_course(
        folder_with(("invented = true", 'invented = true\npreset = "great lakes and new england"'))
    )
    assert course.zone("4 low").build == "push-up"
    assert course.place.units == "us"
    assert course.calendar.opening == "04-15"
    assert course.gauge.kind == "heated"
    silent = [("turf = {annual_bluegrass = 0.6, creeping_bent = 0.4}\n", "")]
    assert read_course(folder_with(*silent)).zone("4 low").turf == {
        "annual_bluegrass": 0.5,
        "creeping_bent": 0.5,
    }
    whole = ('"station.csv"', '"station.csv"\n[turf]\nshares = {bent = 1.0}\nbiotype = "hardy"')
    zone = read_course(folder_with(*silent, whole)).zone("4 low")
    assert (zone.turf, zone.biotype) == ({"creeping_bent": 1.0}, "hardy")
    own = (LOW, f'{LOW}\nturf = {{Poa = 1.0}}\nbiotype = "plain"')
    zone = read_course(folder_with(*silent, whole, own)).zone("4 low")
    assert (zone.turf, zone.biotype) == ({"annual_bluegrass": 1.0}, "plain")


def test_what_a_person_writes_beats_the_preset(folder_with: FolderWith) -> None:
    course = read_course(
        folder_with(
            ("invented = true", 'preset = "Nordic coast"\nunits = "us"'),
            ('"station.csv"', '"station.csv"\n[gauge]\nshield = true\n[calendar]\nopening = "05-20"'),
        )
    )
    assert course.place.units == "us"
    assert (course.gauge.kind, course.gauge.shield) == ("heated", True)
    assert (course.calendar.opening, course.calendar.seed_order) == ("05-20", "03-01")
    assert course.says("calendar.opening") and not course.says("calendar.seed_order")
    assert course.says("gauge.shield") and not course.says("gauge.kind")


def test_words_may_be_written_with_other_capitals_and_hyphens(folder_with: FolderWith) -> None:
    low = read_course(folder_with((LOW, 'template = "Low-Spot"\nshade = "MOST of the  day"'))).zone("4 low")
    assert low.template == "low spot"
    assert max(low.horizon) == 35.0


def test_a_measured_horizon_wins_over_the_shade_word(folder_with: FolderWith) -> None:
    own = f'{LOW}\nshade = "morning"\nhorizon = {{S = 20, SW = 30, NNE = 4}}'
    horizon = read_course(folder_with((LOW, own))).zone("4 low").horizon
    assert len(horizon) == 16
    assert (horizon[8], horizon[9], horizon[10]) == (20.0, 25.0, 30.0), "between two measured: their mean"
    assert horizon[1] == 4.0
    assert sum(height > 0 for height in horizon) == 4, "directions nobody measured are open"


def test_shade_words_stand_where_the_sun_is() -> None:
    east, south, west, north = slice(3, 7), 8, slice(10, 13), (15, 0, 1)
    assert min(horizon_of_word("morning")[east]) >= 25 and max(horizon_of_word("morning")[west]) == 0
    assert min(horizon_of_word("afternoon")[west]) >= 25 and max(horizon_of_word("afternoon")[east]) == 0
    assert horizon_of_word("midday")[south] == 30 and horizon_of_word("none") == (0.0,) * 16
    assert all(
        horizon_of_word(word)[i] == 0
        for word in ("morning", "midday", "afternoon", "most of the day")
        for i in north
    )
    assert horizon_of_word("morning")[1:8] == tuple(reversed(horizon_of_word("afternoon")[9:16])), (
        "mirror images about the meridian"
    )


def test_the_grass_of_every_zone(folder_with: FolderWith) -> None:
    own = f'{LOW}\nturf = {{"velvet bent" = 0.25, Poa = 0.75}}\nbiotype = "hardy"'
    turf = read_course(folder_with((LOW, own))).turf()
    assert turf.share.dims == ("zone", "species")
    assert list(turf.species.values) == ["annual_bluegrass", "creeping_bent", "velvet_bent"]
    assert turf.share.sel(zone="4 low").values.tolist() == [0.75, 0.0, 0.25]
    assert turf.hardy.values.tolist() == [True, False] and turf.hardy.dtype == bool
    assert all({"units", "long_name"} <= set(variable.attrs) for variable in turf.data_vars.values())


def test_a_course_knows_its_folder(folder_with: FolderWith) -> None:
    folder = folder_with()
    assert read_course(folder).folder == folder
    assert read_course(folder / "course.toml").station_path == folder / "station.csv"
    assert read_course(folder).id == "invented-hill"


def test_a_name_in_any_script_has_a_key(folder_with: FolderWith) -> None:
    assert read_course(folder_with(("Invented Hill", "Øvre Ås golf 2"))).id == "ovre-as-golf-2"
    assert read_course(folder_with(("Invented Hill", "高尾"))).id == "course"


def test_a_course_made_in_code_is_checked_the_same_way(plain: str) -> None:
    raw = tomllib.loads(plain)
    assert Course.model_validate(raw).zone_labels() == ("4 low", "4 open")
    raw["areas"][0]["zones"][0]["share"] = 0.5
    with pytest.raises(ValidationError, match=r"adding up to 1\.2"):
        Course.model_validate(raw)


def test_a_course_cannot_be_changed(plain: str) -> None:
    course = course_from_text(plain)
    with pytest.raises(ValidationError, match="frozen"):
        course.place.latitude = 10.0  # type: ignore[misc]


@given(
    st.lists(st.one_of(st.none(), st.floats(0.01, 0.08)), min_size=1, max_size=8).filter(lambda s: None in s)
)
def test_zone_shares_add_up_and_keep_what_was_written(written: list[float | None]) -> None:
    shares = zone_shares(written)
    assert sum(shares) == pytest.approx(1.0, abs=1e-9)
    assert all(share > 0 for share in shares)
    assert all(share == own for share, own in zip(shares, written, strict=True) if own is not None)


@given(st.lists(st.floats(0.02, 1.0), min_size=2, max_size=7), st.floats(-0.2, 0.2))
def test_turf_shares_are_taken_or_refused_by_their_sum(parts: list[float], off: float) -> None:
    shares = [round(part / sum(parts) * (1 + off), 4) for part in parts]
    turf = ", ".join(f"{name} = {share}" for name, share in zip(SPECIES, shares, strict=False))
    text = starter() + f"\n[turf]\nshares = {{{turf}}}\n"
    miss = abs(sum(shares) - 1)
    if miss < 0.00099:
        assert sum(course_from_text(text).zones()[0].turf.values()) == pytest.approx(1.0, abs=1e-12)
    elif miss > 0.00101:
        with pytest.raises(CourseFileError, match=r"adding up to|from 0 to 1"):
            course_from_text(text)
