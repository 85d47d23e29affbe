"""Headline and body of a night: lengths, 7-bit, what must be said whatever else is left out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from winterrisk.reports.alert import SAFETY, body, headline
from winterrisk.reports.words import chance_in_words, joined, ratio, seven_bit, shortened


def call(kind: str = "pull", zone: str = "4 low", **changed: object) -> dict[str, object]:
    return {
        "kind": kind, "zone": zone, "area": "4", "by": "2025-02-25", "number": 4, "spots": [], "band": "parts",
        "reason": "day 41 under ice; ice", "chance": 0.33, "low": 0.2, "high": 0.5, "until": "2025-02-24", **changed,
    }  # fmt: skip


def night(**changed: object) -> dict[str, object]:
    zone = {"zone": "4 low", "chance": 0.12}
    data = {"weather_until_local": "2025-02-25T03:00", "age_hours": 1.0, "filled_hours": 0, "zones": [zone]}
    return {
        "on": "2025-02-25", "calls": [], "held_back": [], "cannot_say": [], "verdicts_due": [], "changed_since": [],
        "data": data | {"until_day": "2025-04-01"}, **changed,
    }  # fmt: skip


def test_a_pull_says_what_where_when_why_and_how_likely() -> None:
    said = night(calls=[call()])
    assert headline(said) == "PULL PLUGS by Tue 25 Feb: 4 low (4)."
    text = body(said)
    assert "day 41 under ice; lack of air under ice" in text
    assert "about 1 in 3 (1 in 5 to 1 in 2) that more than a quarter of it is dead already" in text
    assert "Weather to Tue 25 Feb 03:00, 1 h old." in text
    assert "If you do nothing" in text and "Eye protection" in text


def test_a_quiet_night_names_the_worst_zone_and_the_age_of_the_data() -> None:
    assert headline(night()).startswith("Nothing to do on Tue 25 Feb")
    assert "4 low" in body(night()) and "1 h old" in body(night())


def test_a_cover_in_danger_heads_the_message_with_its_caution() -> None:
    data = night()["data"] | {
        "notices": [{"kind": "cover_danger", "zone": "7 low", "text": "DANGER, 7 low: sealed"}]
    }
    assert headline(night(data=data)).startswith("LET AIR IN UNDER THE SEALED COVER TODAY: 7 low")
    assert "DANGER, 7 low" in body(night(data=data)) and body(night(data=data)).endswith(SAFETY["cover"])
    assert SAFETY["cover"] not in body(night())


def test_calls_that_wait_are_never_an_all_clear() -> None:
    waits = call(
        "pull",
        "7 low",
        held_because="asked on 10 Feb and not answered; asked again when the chance has risen",
    )
    more = call("look", "2 dam", held_because="more zones than one round; these come next")
    said = night(held_back=[waits, more])
    assert headline(said).startswith(
        "No new call on Tue 25 Feb, 2 wait: pull plugs of 7 low, asked on 10 Feb and not"
    )
    assert "Nothing to do" not in headline(said)
    assert "no all-clear" in body(said) and "the page says why" in body(said)
    assert headline(night(held_back=[more])).startswith("No new call on Tue 25 Feb, 1 waits: look at 2 dam")


def test_missing_data_is_never_an_all_clear() -> None:
    rows = [{"zone": f"{i} low", "why": "no air temperature for 72 of the last 72 h"} for i in range(24)]
    said = night(cannot_say=rows)
    assert headline(said).startswith("CANNOT SAY for 24 zones: no air temperature")
    assert "no all-clear" in body(said) and "Nothing to do" not in headline(said)


@given(
    st.lists(st.sampled_from(["look", "pull"]), max_size=8),
    st.text(min_size=1, max_size=60),
    st.floats(0, 1),
    st.integers(0, 3),
)
def test_lengths_and_letters_hold_whatever_is_said(
    kinds: list[str], zone: str, chance: float, due: int
) -> None:
    calls = [call(kind, zone, chance=chance, low=0.0, high=1.0) for kind in kinds]
    rows = [{"zone": zone, "plug": str(i), "due": "2025-02-20"} for i in range(due)]
    said = night(calls=calls, verdicts_due=rows, changed_since=[zone * 4])
    first, second = headline(said), body(said)
    assert len(first) <= 160 and len(second) <= 600
    assert first.isascii() and second.isascii()
    if kinds:
        assert "h old" in second or len(zone) > 30


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.01, "under 1 in 30"), (0.1, "1 in 10"), (0.33, "1 in 3"), (0.5, "1 in 2"), (0.98, "over 29 in 30")],
)
def test_chances_as_ratios(chance: float, words: str) -> None:
    assert ratio(chance) == words


def test_small_words() -> None:
    assert chance_in_words(0.33, 0.2, 0.5) == "about 1 in 3 (1 in 5 to 1 in 2)"
    assert chance_in_words(0.01, 0.0, 0.02) == "under 1 in 30"
    assert joined(["a", "b", "c"]) == "a, b and c" and joined([]) == ""
    assert seven_bit("Ålesund grønn – 4 °C") == "Alesund gronn - 4 degC"
    assert shortened("one two three four", 12) == "one two..."
