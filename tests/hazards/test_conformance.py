"""What every hazard must do, asked of each in the same words."""

import numpy as np
import pytest
from turf_winters import autumn_to_spring, turf, winter

from winterrisk import hazards
from winterrisk.thresholds import SPECIES, Thresholds
from winterrisk.thresholds.chance_rows import CHANCE_ROWS

VALUES = Thresholds.defaults().values
DRAWS = Thresholds.defaults().draw(50, ("conformance",), "chance")
LENGTH = 290


def rough_winter(members: int = 3):  # type: ignore[no-untyped-def]
    """A winter with every trouble in it: wet freezes, ice, bare frozen weeks, long snow, late frost."""
    rng = np.random.default_rng(4)
    mean = autumn_to_spring() + rng.normal(0, 2.0, LENGTH)
    mean[265] = -6.0
    day = np.arange(LENGTH)
    ice = (day > 150) & (day < 200)
    return winter(
        mean, 3.0, "2025-08-01", zones=2, members=members,
        hours_wet=np.where(mean > 0, rng.uniform(0, 24, LENGTH), 0.0),
        hours_sealed=np.where(ice, 24.0, 0.0),
        reaerated=np.where(~ice & (mean > -0.5), 24.0, 0.0),
        swings=(rng.random(LENGTH) < 0.1).astype(float),
        snow_depth_mean=np.where((day > 130) & (day < 215), 0.3, 0.0),
        hours_snow_on_unfrozen=np.where((day > 130) & (day < 215), 12.0, 0.0),
        drying=np.where((day > 120) & (day < 160), 0.5, 0.0),
    )  # fmt: skip


HARM = hazards.run(rough_winter(), turf("annual_bluegrass", "creeping_bent", zones=2), {})


@pytest.mark.parametrize("name", hazards.HAZARDS)
class TestEveryHazard:
    def test_dose_has_the_agreed_shape_and_says_its_unit(self, name: str) -> None:
        dose = HARM[f"dose_{name}"]
        parts = ("part",) if name == "wet_freeze" else ()
        assert dose.dims == ("species", "day", "zone", "member", *parts)
        assert dose.dtype == np.float32
        assert dose.attrs["units"] and dose.attrs["long_name"]
        assert np.isfinite(dose).all()

    def test_dose_file_gives_the_same_as_run(self, name: str) -> None:
        alone = getattr(hazards, name).dose(
            rough_winter(), turf("annual_bluegrass", "creeping_bent", zones=2), {}
        )
        assert alone.equals(HARM[f"dose_{name}"])

    def test_chance_is_a_chance_and_rises_above_nothing(self, name: str) -> None:
        dose = hazards.cumulative(HARM[f"dose_{name}"].to_numpy(), axis=1)
        chance = hazards.chance(name, dose, VALUES, "annual_bluegrass")
        assert chance.shape == dose.shape[:4]
        assert np.all((chance >= 0.0) & (chance <= 1.0))
        assert chance[0].max() > 0.02

    def test_chance_broadcasts_members_against_draws(self, name: str) -> None:
        dose = HARM[f"dose_{name}"].isel(species=0, day=-1, zone=0).to_numpy()[:, None]
        both = hazards.chance(name, dose, DRAWS, "annual_bluegrass")
        assert both.shape == (3, 50) or name.startswith(("drying", "snow", "spring"))
        one = {k: float(v[7]) for k, v in DRAWS.items()}
        alone = hazards.chance(name, dose[:, 0], one, "annual_bluegrass")
        assert np.broadcast_to(both, (3, 50))[:, 7] == pytest.approx(alone, rel=1e-4)

    def test_dose_does_not_know_the_learned_rows(self, name: str) -> None:
        learned = {row.key: np.array([row.high]) for row in CHANCE_ROWS}
        other = hazards.run(rough_winter(), turf("annual_bluegrass", "creeping_bent", zones=2), learned)
        assert other[f"dose_{name}"].equals(HARM[f"dose_{name}"])

    def test_a_missing_number_is_refused_by_name(self, name: str) -> None:
        days = rough_winter()
        days["crown_temperature_min"][100, 1, 2] = np.nan
        with pytest.raises(
            hazards.WinterDaysError, match=r"1 missing values, the first on 2025-11-09 in zone 1"
        ):
            getattr(hazards, name).dose(days, turf("annual_bluegrass", zones=2), {})

    def test_every_grass_has_its_chance(self, name: str) -> None:
        dose = HARM[f"dose_{name}"].isel(species=0, day=-1, zone=0).to_numpy()
        for species in SPECIES:
            assert np.isfinite(hazards.chance(name, dose, VALUES, species)).all()


@pytest.mark.parametrize("name", [n for n in hazards.HAZARDS if n != "wet_freeze"])
def test_chance_never_falls_with_the_running_dose(name: str) -> None:
    """Wet freeze is an extra over cold; the two together never fall, see the laws."""
    dose = hazards.cumulative(HARM[f"dose_{name}"].to_numpy(), axis=1)
    for species in ("annual_bluegrass", "creeping_bent"):
        assert np.all(np.diff(hazards.chance(name, dose, VALUES, species), axis=1) >= 0.0)


def test_no_chance_in_the_harm() -> None:
    assert {str(v) for v in HARM.data_vars} == {
        "kill_temperature", "hardening", "wetness", "spring_growth", *(f"dose_{n}" for n in hazards.HAZARDS)
    }  # fmt: skip


def test_members_keep_their_own_traits() -> None:
    traits = {"kill_limit.annual_bluegrass": np.array([-19.0, -21.5, -26.0])}
    harm = hazards.run(rough_winter(), turf("annual_bluegrass", zones=2), traits)
    coldest = harm["kill_temperature"].isel(species=0, zone=0).min("day").to_numpy()
    assert coldest[0] > coldest[1] > coldest[2]


def test_hardy_biotype_stands_more_cold() -> None:
    plain = hazards.run(rough_winter(), turf("annual_bluegrass", zones=2), {})
    hardy = hazards.run(rough_winter(), turf("annual_bluegrass", zones=2, hardy=True), {})
    assert float(hardy["kill_temperature"].min()) < float(plain["kill_temperature"].min()) - 2.0


def test_an_absent_variable_is_refused_by_name() -> None:
    with pytest.raises(hazards.WinterDaysError, match=r"winter_days\.hours_sealed"):
        hazards.run(rough_winter().drop_vars("hours_sealed"), turf("annual_bluegrass", zones=2), {})


def test_days_without_a_member_axis_are_one_member() -> None:
    days = rough_winter(members=1).isel(member=0)
    harm = hazards.run(days, turf("annual_bluegrass", zones=2), {})
    assert harm.sizes["member"] == 1
    assert (
        harm["dose_cold"]
        .isel(member=0)
        .equals(HARM["dose_cold"].sel(species=["annual_bluegrass"]).isel(member=0))
    )


@pytest.mark.parametrize("bad", [[1.0, 2.0], [np.nan]])
def test_a_draw_of_the_wrong_number_is_refused_by_name(bad: list[float]) -> None:
    with pytest.raises(ValueError, match="trait swing_cost"):
        hazards.run(rough_winter(), turf("annual_bluegrass", zones=2), {"swing_cost": np.array(bad)})
