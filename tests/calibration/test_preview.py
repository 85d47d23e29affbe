"""The preview on two small made-up tables of past nights."""

import pandas as pd

from winterrisk.calibration import PastNights, past_nights, preview, preview_text

COLUMNS = ["winter", "on", "zone", "kind", "chance", "low", "high", "held_because"]


def nights(*rows: tuple[str, str, str, str, float, str], treated: tuple[str, ...] = ()) -> PastNights:
    """Calls as told, and on 10 February of each winter what was said of both zones."""
    full = [(winter, on, zone, kind, chance, 0.1, 0.5, held) for winter, on, zone, kind, chance, held in rows]
    zones = [
        (winter, f"20{winter[5:]}-02-10", zone, 0.4, 0.2, 0.6, 0.1, zone in treated, True)
        for winter in ("2023-24", "2024-25")
        for zone in ("4 low", "9 shade")
    ]
    names = ["winter", "on", "zone", "chance", "low", "high", "chance_now", "treated", "judged"]
    return PastNights(pd.DataFrame(full, columns=COLUMNS), pd.DataFrame(zones, columns=names))


NOW = nights(
    ("2023-24", "2024-01-10", "4 low", "look", 0.3, ""),
    ("2023-24", "2024-02-14", "4 low", "pull", 0.4, ""),
    ("2023-24", "2024-02-21", "9 shade", "pull", 0.3, ""),
    ("2024-25", "2025-02-10", "4 low", "pull", 0.3, "pulled last week"),
)
THEN = nights(
    ("2023-24", "2024-01-10", "4 low", "look", 0.2, ""),
    ("2023-24", "2024-02-28", "4 low", "pull", 0.4, ""),
    ("2024-25", "2025-02-10", "4 low", "pull", 0.6, ""),
)
SURVEYS = pd.DataFrame(
    [
        ("2023-24", "2024-04-20", "4 low", 0.3, 0.5, "all"),
        ("2023-24", "2024-04-20", "9 shade", 0.0, 0.005, "all"),
        ("2024-25", "2025-04-20", "4 low", 0.5, 0.7, "all"),
        ("2024-25", "2025-04-20", "9 shade", 0.7, 0.9, "creeping_bent"),
        ("2019-20", "2020-04-20", "4 low", 0.7, 0.9, "all"),
    ],
    columns=["winter", "date", "zone", "dead_low", "dead_high", "species"],
)


def test_calls_are_gained_lost_or_the_same() -> None:
    shown = preview(NOW, THEN, SURVEYS)
    assert (shown.number("gained"), shown.number("lost"), shown.number("same")) == (2, 2, 1)
    same = shown.calls[shown.calls["change"] == "same"].iloc[0]
    assert (same["kind"], same["chance_now"], same["chance_then"]) == ("look", 0.3, 0.2)


def test_hits_and_misses_are_counted_by_zone_against_the_surveys() -> None:
    shown = preview(NOW, THEN, SURVEYS)
    assert shown.scores["now"][["hit", "miss", "false", "quiet", "no survey"]].tolist() == [1, 1, 1, 0, 1]
    assert shown.scores["then"][["hit", "miss", "false", "quiet", "no survey"]].tolist() == [2, 0, 0, 1, 1]
    first = shown.zones.set_index(["winter", "zone"]).loc[("2023-24", "4 low")]
    assert (first["first_now"], first["first_then"]) == (
        pd.Timestamp("2024-02-14"),
        pd.Timestamp("2024-02-28"),
    )
    assert (first["lead_now"], first["lead_then"]) == (66, 52), "days from the warning to 20 April"


def test_a_treated_zone_is_acted_on_and_one_between_is_close() -> None:
    called = (
        ("2023-24", "2024-02-14", "4 low", "pull", 0.4, ""),
        ("2023-24", "2024-02-14", "9 shade", "pull", 0.4, ""),
    )
    surveys = SURVEYS.head(2).assign(dead_low=[0.10, 0.10], dead_high=[0.20, 0.20])
    shown = preview(nights(*called, treated=("9 shade",)), nights(*called), surveys)
    zones = shown.zones.set_index(["winter", "zone"])
    assert zones.loc[("2023-24", "9 shade"), ["now", "then"]].tolist() == ["acted on", "close"]
    assert zones.loc[("2023-24", "4 low"), "now"] == "close"


def test_a_warning_after_the_survey_is_no_hit() -> None:
    late = nights(("2023-24", "2024-04-25", "4 low", "pull", 0.9, ""))
    assert preview(late, late, SURVEYS.head(1)).scores["now"]["miss"] == 1


def test_tables_come_from_night_records() -> None:
    zone = {
        "zone": "4 low",
        "chance": 0.3,
        "low": 0.1,
        "high": 0.5,
        "treated": False,
        "chance_now": {"parts": 0.05},
    }
    call = {"zone": "4 low", "kind": "pull", "chance": 0.3}
    night = {
        "winter": "2023-24", "on": "2024-02-10", "cannot_say": [{"zone": "4 low", "why": "no data"}],
        "calls": [call], "held_back": [call | {"held_because": "look first"}], "data": {"zones": [zone]},
    }  # fmt: skip
    told = past_nights([night])
    assert told.calls["held_because"].tolist() == ["", "look first"]
    assert told.zones[["chance_now", "judged"]].to_numpy().tolist() == [[0.05, False]]


def test_the_preview_reads_as_plain_lines() -> None:
    text = preview_text(preview(NOW, THEN, SURVEYS))
    assert "2 gained, 2 lost, 1 same" in text
    assert "gained 2025-02-10 PULL 4 low, chance 0.60" in text
    assert "lost   2024-02-14 PULL 4 low, chance 0.40" in text
    assert "4 low in 2024-25: miss -> hit (50% to 70% dead); first warning now none, then 2025-02-10" in text


def test_without_calls_or_surveys_it_says_so() -> None:
    nothing = nights()
    text = preview_text(preview(nothing, nothing, SURVEYS.head(0)))
    assert "0 gained, 0 lost, 0 same" in text
    assert "cannot be told" in text
