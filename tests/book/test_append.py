"""Rows go in whole or not at all; corrections and withdrawals leave the first word in the file."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from winterrisk.book import Book, BookError, events, open_book

TOLD = "2025-01-14T10:00"


def ice(book: Book, known: str = TOLD, **changes: object) -> int | str:
    values = {"time": "2025-01-14T09:00", "area": "4", "zone": "low", "kind": "ice_seen", "value": 20.0}
    return book.add_observation(known=known, **{**values, "unit": "mm", "who": "Ann", **changes})


def plug(book: Book, **changes: object) -> int | str:
    if book.record().batches.empty:
        book.add_batch(known=TOLD, id="B1", warm_from="2025-01-14T20:00", temperature=19.0)
    values = {"area": "4", "zone": "low", "cut": "2025-01-14T09:30", "batch": "B1"}
    return book.add_plug(known=TOLD, **{**values, **changes})


def test_what_is_written_is_read_back_after_closing(folder: Path) -> None:
    with open_book(folder) as book:
        ice(book, detail="clear", share=0.8)
        name = plug(book, ice_mm=15.0, crowns="yes", control=True)
        book.add_look(
            known="2025-01-21", plug=name, time="2025-01-20T09:00", new_growth=0.3, species="Creeping bent"
        )
        book.add_survey(
            known="2025-05-01", date="2025-04-20", area="4", zone="low", dead_low=0.3, dead_high=0.5
        )
        book.add_decision(known="2025-02-02", time="2025-02-01T10:00", text="no seed", reason="plugs green")
    with open_book(folder) as book:
        record = book.record()
    seen = record.observations.iloc[0]
    assert (seen["zone"], seen["area"], seen["value"], seen["unit"]) == ("4 low", "4", 20.0, "mm")
    assert (seen["share"], seen["detail"], seen["who"]) == (0.8, "clear", "Ann")
    assert seen["time"] == pd.Timestamp("2025-01-14T09:00")
    cut = record.plugs.iloc[0]
    assert (cut["id"], cut["zone"], cut["crowns"], cut["control"], cut["ice_mm"]) == (
        "P1",
        "4 low",
        "yes",
        True,
        15.0,
    )
    look = record.looks.iloc[0]
    assert (look["plug"], look["species"], look["new_growth"]) == ("P1", "creeping_bent", 0.3)
    assert record.surveys.iloc[0][["winter", "species", "cause"]].tolist() == ["2024-25", "all", "unknown"]
    assert record.decisions.iloc[0]["reason"] == "plugs green"


def test_columns_are_the_contract(book: Book) -> None:
    record = book.record()
    assert list(record.plugs.columns) == (
        [
            "id",
            "area",
            "zone",
            "spot",
            "cut",
            "depth_mm",
            "crowns",
            "control",
            "ice_mm",
            "batch",
            "label",
            "who",
            "known",
        ]
    )
    assert list(record.looks.columns)[:8] == [
        "plug",
        "time",
        "species",
        "new_growth",
        "colour",
        "smell",
        "who",
        "known",
    ]
    assert list(record.surveys.columns)[:10] == (
        ["winter", "date", "area", "zone", "species", "dead_low", "dead_high", "cause", "who", "known"]
    )
    assert str(record.plugs["cut"].dtype) == "datetime64[s]"
    assert len(events(record, "4 low")) == 0


def test_a_correction_stands_from_when_it_is_known(book: Book) -> None:
    id = ice(book)
    book.correct("observations", id, known="2025-01-16T10:00", value=3.0, unit="cm")
    assert book.record("2025-01-15T10:00").observations["value"].tolist() == [20.0]
    now = book.record().observations
    assert now["value"].tolist() == [30.0] and now["id"].tolist() == [id]
    book.correct("observations", id, known="2025-01-17T10:00", zone="ridge")
    assert book.record().observations[["zone", "value"]].values.tolist() == [["4 ridge", 30.0]]


def test_a_withdrawn_row_is_gone_but_stays_in_the_file(book: Book) -> None:
    id = ice(book)
    book.withdraw("observations", id, known="2025-01-16T10:00")
    assert book.record().observations.empty
    assert len(book.record("2025-01-15T00:00").observations) == 1
    with pytest.raises(BookError, match="no such row"):
        book.correct("observations", id, known="2025-01-17T00:00", value=1.0)


def test_a_corrected_plug_keeps_its_id_and_its_looks(book: Book) -> None:
    name = plug(book)
    book.add_look(known="2025-01-21", plug=name, time="2025-01-20T09:00", new_growth=0.0)
    book.correct("plugs", name, known="2025-01-22", depth_mm=55.0, zone="ridge")
    record = book.record()
    assert record.plugs[["id", "zone", "depth_mm"]].values.tolist() == [["P1", "4 ridge", 55.0]]
    assert record.looks["plug"].tolist() == ["P1"]
    assert plug(book) == "P2"


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"kind": "ice_sen"}, "did you mean ice_seen"),
        ({"zone": "lowe"}, "did you mean 4 low"),
        ({"area": "44"}, "zone '44 low'"),
        ({"time": "2025-01-14T10:01"}, "in the future"),
        ({"time": "soon"}, "'soon'"),
        ({"share": 1.2}, "found 1.2, expected 0 to 1"),
        ({"value": 900.0}, "0 to 500 mm"),
        ({"value": "two"}, "a number"),
        ({"unit": "degC"}, "a unit that fits mm"),
        ({"kind": "no_ice"}, "no value for 'no ice'"),
        ({"kind": "snow_depth_seen", "value": None}, "a value in cm"),
        ({"until": "2025-01-13T09:00"}, "before"),
        ({"colour": "red"}, "'colour'"),
        ({"value": float("inf")}, "0 to 500"),
    ],
)
def test_an_observation_that_cannot_be_is_refused_and_nothing_written(
    book: Book, changes: dict[str, object], words: str
) -> None:
    with pytest.raises(BookError, match=words):
        ice(book, **changes)
    assert book.record().observations.empty


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"new_growth": 1.4}, "found 1.4, expected 0 to 1"),
        ({"time": "2025-01-14T09:00"}, "before the plug was cut"),
        ({"plug": "P9"}, "did you mean P1"),
        ({"species": "bermudagrass"}, "expected one of all, annual_bluegrass"),
        ({"new_growth": None}, "new growth, a colour or a smell"),
    ],
)
def test_a_look_that_cannot_be_is_refused(book: Book, changes: dict[str, object], words: str) -> None:
    plug(book)
    values = {"plug": "P1", "time": "2025-01-20T09:00", "new_growth": 0.3}
    with pytest.raises(BookError, match=words):
        book.add_look(known="2025-01-21", **{**values, **changes})
    assert book.record().looks.empty


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"dead_high": 1.5}, "0 to 1"),
        ({"dead_low": 0.6}, "the larger share second"),
        ({"cause": "icy"}, "did you mean ice"),
        ({"winter": "2023-24"}, "2024-25"),
        ({"dead_low": None}, "a share from 0 to 1"),
    ],
)
def test_a_survey_that_cannot_be_is_refused(book: Book, changes: dict[str, object], words: str) -> None:
    values = {"date": "2025-04-20", "area": "4", "zone": "low", "dead_low": 0.3, "dead_high": 0.5}
    with pytest.raises(BookError, match=words):
        book.add_survey(known="2025-05-01", **{**values, **changes})
    assert book.record().surveys.empty


def test_every_fault_of_a_row_is_named_at_once(book: Book) -> None:
    with pytest.raises(BookError) as refused:
        ice(book, kind="ise", share=2, time="2026-01-01")
    assert len(refused.value.faults) == 3


def test_a_plug_id_is_given_once(book: Book) -> None:
    plug(book, id="X1")
    with pytest.raises(BookError, match="cannot take"):
        plug(book, id="X1")
    with pytest.raises(BookError, match="a batch of the book"):
        plug(book, batch="B9")


def test_rows_added_together_are_all_kept_or_none(book: Book) -> None:
    rows = [
        ("batches", {"id": "B7"}),
        ("plugs", {"area": "4", "zone": "nowhere", "cut": TOLD, "batch": "B7"}),
    ]
    with pytest.raises(BookError, match="nowhere"):
        book.add_together(rows, known="2025-01-15")
    assert book.record().batches.empty


def test_nights_messages_and_threshold_versions(book: Book) -> None:
    assert (
        book.add_night(
            date="2025-01-14", known=TOLD, version="0.1", thresholds="defaults", calls=[{"zone": "4 low"}]
        )
        == 1
    )
    assert book.add_night(date="2025-01-14", known=TOLD, version="0.1", thresholds="defaults") == 2
    book.add_message(known=TOLD, night="2025-01-14", kind="call", recipient="Ann", headline="LOOK")
    book.add_threshold_version(version="1", known=TOLD, who="Ann", why="two winters", used=["P2", "P1"])
    record = book.record()
    assert record.nights[["date", "run"]].values.tolist() == [["2025-01-14", 1], ["2025-01-14", 2]]
    assert record.thresholds["used"].tolist() == ['["P1", "P2"]'] and len(record.messages) == 1


def test_the_hash_follows_what_was_seen_and_nothing_else(book: Book) -> None:
    ice(book)
    before = book.record().hash()
    book.add_night(date="2025-01-14", known=TOLD, version="0.1", thresholds="defaults")
    assert book.record().hash() == before
    ice(book, zone="ridge")
    assert book.record().hash() != before
    assert book.record(TOLD).hash() == book.record(np.datetime64("2025-01-14T10:00:00")).hash()


def test_a_part_of_a_transaction_can_fail_alone(book: Book) -> None:
    seen = {"time": "2025-01-14T09:00", "area": "4", "zone": "low", "kind": "no_ice", "known": "2025-01-15"}
    with book.writing():
        book.add_observation(**seen, who="Ann")
        with pytest.raises(RuntimeError), book.writing():
            book.add_observation(**seen, who="Bo")
            raise RuntimeError
        book.add_observation(**seen, who="Cy")
    assert list(book.record().observations["who"]) == ["Ann", "Cy"]
    with pytest.raises(RuntimeError), book.writing():
        with book.writing():
            book.add_observation(**seen, who="Di")
        raise RuntimeError
    assert list(book.record().observations["who"]) == ["Ann", "Cy"]
