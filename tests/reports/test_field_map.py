"""The map of plugs: every spot's words have one place on it, in their third and side; files open as what they are."""

from pathlib import Path

from winterrisk.reports.write_field_map import write_field_map
from winterrisk.sampling.spots import place_of, spots


def test_every_spot_has_its_own_place_in_its_third_and_side() -> None:
    places = {spot: place_of(spot) for spot in spots(36)}
    assert len(set(places.values())) == 36
    for spot, at in places.items():
        assert at is not None
        third = {"low": 0, "middle": 1, "high": 2}[spot.split()[0]]
        side = {"left": 0, "centre": 1, "right": 2}[spot.split(", ")[1]]
        assert third / 3 < at[1] < (third + 1) / 3 and side / 3 < at[0] < (side + 1) / 3
    assert place_of("by the bunker") is None


def test_a_map_is_written_for_pulls_alone(tmp_path: Path) -> None:
    pull = {"kind": "pull", "zone": "4 low", "number": 3, "by": "2025-02-25", "spots": list(spots(3))}
    night = {
        "course": "Moor (invented)",
        "on": "2025-02-25",
        "calls": [pull, {"kind": "look", "zone": "2 low"}],
    }
    assert write_field_map(night, tmp_path / "map.png") is not None
    assert (tmp_path / "map.png").read_bytes().startswith(b"\x89PNG")
    write_field_map(night, tmp_path / "map.pdf")
    assert (tmp_path / "map.pdf").read_bytes().startswith(b"%PDF")
    assert write_field_map(night | {"calls": night["calls"][1:]}, tmp_path / "none.png") is None
    assert not (tmp_path / "none.png").exists()
