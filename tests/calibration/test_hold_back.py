"""What a night may know: evidence of its own winter, cut, surveyed and told by then (a law, no source)."""

import numpy as np
import pandas as pd
import pytest
from courses import SPECIES, add_plug, add_survey, book, winter

from winterrisk import risk
from winterrisk.thresholds import Thresholds

PAST = winter("2023-24", {"1 low": 1.5, "2 ridge": 0.2})
DRAWS = Thresholds.defaults().draw(60, ("hold back",), "chance")


def weight(tables, on: str | None = None) -> np.ndarray:
    instant = None if on is None else np.datetime64(on)
    seen = (tables.plugs, tables.looks, tables.surveys)
    found = risk.weights(PAST.harm, DRAWS, *seen, batches=tables.batches, share=PAST.share, on=instant)
    return found.to_numpy()


def one_survey(day: str, known: str | None = None):
    rows: list = []
    add_survey(rows, "", "1 low", np.datetime64(day), 0.9, 1.0)
    tables = book([], [], rows)
    if known is not None:
        tables.surveys["known"] = pd.Timestamp(known)
    return tables


def test_a_survey_speaks_from_its_day_on() -> None:
    plain = weight(book([], []))
    tables = one_survey("2024-03-20")
    assert np.array_equal(weight(tables, "2024-03-19T10:00"), plain)
    assert not np.allclose(weight(tables, "2024-03-21T10:00"), plain)
    assert np.array_equal(weight(tables), weight(tables, "2024-04-30T10:00"))


def test_a_survey_written_down_later_speaks_from_then_on() -> None:
    plain = weight(book([], []))
    tables = one_survey("2024-03-20", known="2024-05-02T18:00")
    assert np.array_equal(weight(tables, "2024-04-30T10:00"), plain)
    assert not np.allclose(weight(tables, "2024-05-03T10:00"), plain)


def test_another_winter_says_nothing_of_this_one() -> None:
    plain = weight(book([], []))
    assert np.array_equal(weight(one_survey("2025-03-20")), plain)
    assert np.array_equal(weight(one_survey("2023-03-20")), plain)
    plugs, looks = [], []
    add_plug(plugs, looks, "1 low", np.datetime64("2025-02-10"), dead=True)
    assert np.array_equal(weight(book(plugs, looks)), plain)
    own: list = []
    add_plug(own, looks, "1 low", np.datetime64("2024-02-10"), dead=True)
    assert not np.allclose(weight(book(own, looks)), plain)


def test_weights_add_to_one_in_each_zone() -> None:
    assert weight(one_survey("2024-03-20")).sum(axis=(1, 2)) == pytest.approx(np.ones(2))
    assert len(SPECIES) == PAST.harm.sizes["species"]
