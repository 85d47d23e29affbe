"""Laws of the hazards on any winter: they need no published value."""

import sys
from pathlib import Path

import numpy as np
import xarray as xr
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parents[1] / "hazards"))
from turf_winters import turf, winter

from winterrisk import hazards
from winterrisk.hazards.wet_freeze import wet_kill_temperature
from winterrisk.hazards.winter import start_stores
from winterrisk.thresholds import SPECIES, TABLE, Thresholds

DEFAULTS = Thresholds.defaults()
VALUES = DEFAULTS.values
LENGTH = 60
FLOAT32 = 1e-6
"""Doses are float32; chances of them agree to this."""
BENTS = ("creeping_bent", "velvet_bent", "colonial_bent")
few = settings(max_examples=25, deadline=None)
seeds = st.integers(0, 2**32 - 1)
grasses = st.sampled_from([s for s in SPECIES if s not in ("timothy", "winter_wheat")])


def random_winter(seed: int, sealed: bool = True, wet: bool = True, start: str = "2025-11-15") -> xr.Dataset:
    """Any winter: wandering crown temperatures, with or without water and sealed spells."""
    rng = np.random.default_rng(seed)
    mean = np.clip(rng.normal(-1, 3) + np.cumsum(rng.normal(0, 1.5, LENGTH)), -15, 10)
    shut = rng.random(LENGTH).round() * (rng.random() < 0.7) * sealed
    shut = np.repeat(shut[::10], 10)[:LENGTH]
    return winter(
        mean, float(rng.uniform(0, 5)), start,
        hours_wet=rng.uniform(0, 24, LENGTH) * wet,
        cooling_at_freeze=rng.uniform(0, 4, LENGTH),
        hours_sealed=24.0 * shut,
        reaerated=np.where((shut == 0) & (mean > -0.5), 24.0, 0.0),
        air_store=float(rng.uniform(0, 6)),
        swings=(rng.random(LENGTH) < 0.2).astype(float),
        snow_depth_mean=float(rng.choice([0.0, 0.01, 0.3])),
        drying=rng.uniform(0, 1, LENGTH),
    )  # fmt: skip


def harm_of(days: xr.Dataset, species: str, start_kill: float | None = -15.0, **traits: float) -> xr.Dataset:
    """Harm of one grass."""
    drawn = {key: np.array([value]) for key, value in traits.items()}
    return hazards.run(days, turf(species), drawn, start_kill=start_kill)


def chances_of(harm: xr.Dataset, species: str, values=VALUES) -> dict[str, np.ndarray]:  # type: ignore[no-untyped-def]
    """Chance by hazard (day)."""
    return {
        name: hazards.chance(
            name,
            hazards.cumulative(harm[f"dose_{name}"].isel(species=0, zone=0, member=0).to_numpy()),
            values,
            species,
        )
        for name in hazards.HAZARDS
    }


@few
@given(seeds, grasses)
def test_chances_are_chances_and_together_never_fall(seed: int, species: str) -> None:
    rng = np.random.default_rng(seed)
    draws = DEFAULTS.draw(8, ("laws", seed), "chance")
    values = {key: float(v[rng.integers(8)]) for key, v in draws.items()}
    harm = harm_of(random_winter(seed), species, float(rng.uniform(-25, -4)))
    chances = chances_of(harm, species, values)
    for chance in chances.values():
        assert np.all((chance >= 0.0) & (chance <= 1.0))
    together = hazards.combine(chances)
    assert np.all((together >= 0.0) & (together <= 1.0))
    cold_and_wet = hazards.combine({n: chances[n] for n in ("cold", "wet_freeze")})
    assert np.all(np.diff(cold_and_wet) >= -FLOAT32)
    for name in hazards.HAZARDS:
        if name != "wet_freeze":
            assert np.all(np.diff(chances[name]) >= 0.0)


@few
@given(seeds, grasses, st.integers(1, LENGTH - 1), st.floats(0.5, 20.0))
def test_a_colder_night_is_never_safer_that_night(seed: int, species: str, day: int, colder: float) -> None:
    """Same history, dry and unsealed crown: lowering only the night's minimum never lowers the chance."""
    days = random_winter(seed, sealed=False, wet=False).isel(day=slice(None, day + 1))
    cold = days.copy(deep=True)
    cold["crown_temperature_min"][-1] -= colder
    plain = hazards.combine(chances_of(harm_of(days, species), species))[-1]
    assert hazards.combine(chances_of(harm_of(cold, species), species))[-1] >= plain - FLOAT32


@few
@given(seeds, st.sampled_from(BENTS))
def test_bent_is_never_worse_than_annual_bluegrass_at_equal_hardening(seed: int, bent: str) -> None:
    """Frozen from the start, so that both keep the kill temperature they came with."""
    rng = np.random.default_rng(seed)
    kill = float(rng.uniform(-20, -8))
    mean = np.minimum(random_winter(seed)["crown_temperature_mean"].to_numpy()[:, 0, 0], -2.5)
    days = winter(
        mean,
        1.0,
        hours_wet=rng.uniform(0, 24, LENGTH),
        hours_sealed=np.where(rng.random(LENGTH) < 0.8, 24.0, 0.0),
    )
    still = {"frost_rate", "cool_rate"}
    dead = {}
    for species in ("annual_bluegrass", bent):
        traits = {f"{name}.{species}": 0.0 for name in still}
        harm = harm_of(days, species, kill, **traits)
        dead[species] = {n: c[-1] for n, c in chances_of(harm, species).items()}
    for name in ("cold", "wet_freeze", "ice"):
        assert dead[bent][name] <= dead["annual_bluegrass"][name] + FLOAT32


@few
@given(seeds, grasses)
def test_a_hardier_start_is_never_more_at_risk_of_cold(seed: int, species: str) -> None:
    days = random_winter(seed, sealed=False, wet=False)
    limit = TABLE[f"kill_limit.{species}"].value
    soft, hard = (
        harm_of(days, species, -4.0 + part * (limit + 4.0), ceiling_loss=0.0) for part in (0.5, 0.9)
    )
    assert np.all(hard["dose_cold"].to_numpy() <= soft["dose_cold"].to_numpy() + 1e-3)


@few
@given(seeds, grasses, st.integers(5, 30))
def test_real_air_lowers_the_ice_dose(seed: int, species: str, at: int) -> None:
    rng = np.random.default_rng(seed)
    mean = np.full(40, rng.uniform(-4, -0.6))
    shut = np.full(40, 24.0)
    aired = shut.copy()
    aired[at : at + 2] = 0.0
    closed = harm_of(winter(mean, hours_sealed=shut), species)
    opened = harm_of(winter(mean, hours_sealed=aired, reaerated=np.where(aired == 0.0, 24.0, 0.0)), species)
    last = {"day": -1, "species": 0, "zone": 0, "member": 0}
    assert float(opened["dose_ice"][last]) < float(closed["dose_ice"][last])


@few
@given(seeds, grasses)
def test_open_ground_takes_no_harm_from_ice(seed: int, species: str) -> None:
    """Never a call from a day count alone: frozen, icy days that do not seal the turf give no ice dose."""
    days = random_winter(seed, sealed=False).assign(days_under_ice=("day", np.arange(LENGTH)))
    assert float(harm_of(days, species)["dose_ice"].max()) == 0.0


@few
@given(seeds, grasses)
def test_snow_cover_keeps_drying_away_only_through_the_column(seed: int, species: str) -> None:
    days = random_winter(seed).assign(drying=(("day", "zone", "member"), np.zeros((LENGTH, 1, 1))))
    assert float(harm_of(days, species)["dose_drying"].max()) == 0.0


@few
@given(seeds, grasses)
def test_kill_temperature_stays_between_limit_and_soft(seed: int, species: str) -> None:
    harm = harm_of(random_winter(seed), species, None)
    kill = harm["kill_temperature"]
    swings = VALUES["swing_cap"]
    assert float(kill.min()) >= TABLE[f"kill_limit.{species}"].value - 1e-4
    assert float(kill.max()) <= VALUES["soft_kill"] + swings + 1e-4


@few
@given(seeds, grasses)
def test_wet_freeze_and_cold_together_are_the_wet_kill_curve(seed: int, species: str) -> None:
    harm = harm_of(random_winter(seed), species)
    dose = harm["dose_wet_freeze"].isel(species=0, zone=0, member=0).to_numpy()
    values = {**VALUES, f"wet_shift.{species}": 0.5}
    extra = hazards.chance("wet_freeze", dose, values, species)
    dry = hazards.chance("cold", dose[:, 0], values, species)
    wet = hazards.chance("cold", np.maximum(dose[:, 3], dose[:, 0]), values, species)
    np.testing.assert_allclose(hazards.combine({"cold": dry, "wet_freeze": extra}), wet, atol=1e-6)


@few
@given(seeds, grasses)
def test_soaking_never_helps(seed: int, species: str) -> None:
    days = random_winter(seed, sealed=False)
    dry = days.assign(hours_wet=0.0 * days["hours_wet"])
    wet_dead = chances_of(harm_of(days, species), species)
    dry_dead = chances_of(harm_of(dry, species), species)
    both = ("cold", "wet_freeze")
    soaked = hazards.combine({n: wet_dead[n] for n in both})[-1]
    assert soaked >= hazards.combine({n: dry_dead[n] for n in both})[-1] - FLOAT32


@few
@given(seeds, grasses)
def test_one_more_day_changes_no_earlier_day(seed: int, species: str) -> None:
    days = random_winter(seed)
    whole, cut = harm_of(days, species), harm_of(days.isel(day=slice(None, 40)), species)
    assert whole.isel(day=slice(None, 40)).equals(cut)


@few
@given(st.floats(-40, -4), st.floats(0, 1), st.floats(0, 1), st.floats(0, 5))
def test_a_wet_crown_is_never_hardier_than_a_dry_one(
    kill: float, wet: float, size: float, swing: float
) -> None:
    dry = kill + 0.3 * swing
    warm = wet_kill_temperature(kill, dry, wet, size, swing, 0.0, 2.0, -4.0, -3.0, 0.3)
    assert dry <= warm <= max(dry, -3.0)


@few
@given(st.floats(0, 1), grasses)
def test_start_stores_stay_in_order(part: float, species: str) -> None:
    limit, share = TABLE[f"kill_limit.{species}"].value, TABLE[f"cool_share.{species}"].value
    cool, frosted = start_stores(-4.0 + part * (limit + 4.0), -4.0, limit, share)
    assert -1e-9 <= frosted <= cool + 1e-9 <= 1.0 + 1e-6
