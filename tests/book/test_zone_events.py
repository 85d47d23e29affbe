"""Events of a zone: whose words hold for it, in what order and unit, known by when."""

import numpy as np

from winterrisk.book import Book, events
from winterrisk.book.zone_events import EVENT_COLUMNS


def see(book: Book, time: str, area: str, zone: str, kind: str, **values: object) -> int | str:
    return book.add_observation(
        known="2025-02-01T00:00", time=time, area=area, zone=zone, kind=kind, **values
    )


def test_own_area_and_course_rows_hold_for_a_zone_and_no_others(book: Book) -> None:
    see(book, "2025-01-05", "4", "low", "ice_seen", value=2.0, unit="cm", detail="clear")
    see(book, "2025-01-04", "4", "", "snow_depth_seen", value=12.0, unit="inch")
    see(book, "2025-01-03", "", "", "cover_on", detail="permeable")
    see(book, "2025-01-06", "4", "ridge", "no_ice")
    see(book, "2025-01-02", "12", "low", "water_seen", value=1.0, unit="cm")
    found = events(book.record(), "4 low")
    assert tuple(found.columns) == EVENT_COLUMNS
    assert found["kind"].tolist() == ["cover_on", "snow_depth_seen", "ice_seen"]
    assert found["value"].tolist()[1:] == [30.48, 20.0]
    assert found["unit"].tolist()[1:] == ["cm", "mm"] and set(found["zone"]) == {"4 low"}


def test_a_cover_whose_kind_nobody_noted_is_the_one_before_or_the_one_owned(book: Book) -> None:
    """A careless second "cover on" must not turn a sealed cover into one that breathes."""
    see(book, "2025-01-02", "4", "low", "cover_on")
    see(book, "2025-01-03", "4", "low", "cover_on", detail="white plastic sheet")
    see(book, "2025-01-04", "4", "low", "cover_on")
    see(book, "2025-01-05", "4", "low", "cover_off")
    see(book, "2025-01-06", "4", "low", "cover_on")
    see(book, "2025-01-07", "4", "low", "cover_on", detail="straw")
    see(book, "2025-01-07", "4", "ridge", "cover_on")
    sealed = ["impermeable", "impermeable", "", "impermeable", "straw"]
    assert events(book.record(), "4 low")["detail"].tolist() == ["", *sealed]
    assert events(book.record(), "4 low", owned="none")["detail"].tolist() == ["", *sealed]
    assert events(book.record(), "4 low", owned="insulated")["detail"].tolist() == ["insulated", *sealed]
    assert events(book.record(), "4 ridge", owned="impermeable")["detail"].tolist() == ["impermeable"]


def test_an_area_whose_name_begins_another_is_not_mixed_up(book: Book) -> None:
    """Area "1" would begin "12 low" without the space."""
    see(book, "2025-01-04", "4", "", "no_ice")
    assert events(book.record(), "12 low").empty and len(events(book.record(), "4 ridge")) == 1


def test_what_holds_for_less_than_half_of_the_zone_does_not_set_it(book: Book) -> None:
    see(book, "2025-01-05", "4", "low", "ice_seen", value=20.0, share=0.4)
    see(book, "2025-01-06", "4", "low", "ice_seen", value=10.0, share=0.5)
    assert events(book.record(), "4 low")["value"].tolist() == [10.0]


def test_until_is_left_out_and_later_knowledge_unknown(book: Book) -> None:
    see(book, "2025-01-05T12:00", "4", "low", "no_ice")
    record = book.record()
    assert events(record, "4 low", np.datetime64("2025-01-05T12:00")).empty
    assert len(events(record, "4 low", np.datetime64("2025-01-05T13:00"))) == 1
    assert events(book.record("2025-01-31"), "4 low").empty


def test_ice_measured_over_a_plug_is_ice_seen(book: Book) -> None:
    for ice, cut in ((15.0, "2025-01-10T15:00"), (0.0, "2025-01-20T15:00"), (None, "2025-01-25T15:00")):
        book.add_plug(known="2025-02-01", area="4", zone="low", cut=cut, ice_mm=ice)
    found = events(book.record(), "4 low")
    assert found["kind"].tolist() == ["ice_seen", "no_ice"]
    assert found["value"].iloc[0] == 15.0 and found["detail"].tolist() == ["plug", "plug"]


def test_one_corrected_ice_date_changes_that_zone_and_no_other(book: Book) -> None:
    id = see(book, "2025-01-05", "4", "low", "ice_from", value=1.0, unit="d")
    see(book, "2025-01-05", "4", "ridge", "ice_from", value=1.0, unit="d")
    ridge = events(book.record(), "4 ridge")
    book.correct("observations", id, known="2025-02-02", time="2024-12-28T12:00")
    assert events(book.record(), "4 low")["time"].astype(str).tolist() == ["2024-12-28 12:00:00"]
    assert events(book.record(), "4 ridge").equals(ridge)
