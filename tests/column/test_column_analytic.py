"""The heat solver and the surface against exact solutions and handbook rows."""

import numpy as np
import pytest

from winterrisk.column import layout as at
from winterrisk.column import soil_layers
from winterrisk.column.heat import HOUR, ground_heat, ground_temperature, heat_pass, node_temperatures
from winterrisk.column.links import conductances
from winterrisk.column.parameters import parameter_vector
from winterrisk.column.snow import aged_albedo, snow_conductivity
from winterrisk.column.surface import saturation
from winterrisk.science.constants import HEAT_ICE, LATENT_FUSION
from winterrisk.science.new_snow import new_snow_density

# surface, start [degC]: front [m] after 10, 30, 90 days; exact two-phase solution (Carslaw and Jaeger)
NEUMANN = {
    (-10.0, 0.0): (0.6501, 1.1261, 1.9504),
    (-10.0, 2.0): (0.6187, 1.0716, 1.8560),
    (-5.0, 4.0): (0.4115, 0.7127, 1.2345),
}
FROZEN, THAWED = 2.6, 1.8  # W m-1 K-1, wet sand
HEAT_FROZEN, HEAT_THAWED, LATENT = 1.9e6, 2.65e6, 1.0011e8  # J m-3 K-1, J m-3


def frozen_column(surface: float, start: float, days: int, dz: float = 0.02) -> tuple[np.ndarray, np.ndarray]:
    """Fronts read from the latent heat stored [m] and temperatures [degC] of wet sand cooled from above."""
    nodes = int(6.0 / dz)
    water = LATENT / LATENT_FUSION * dz
    dry = HEAT_THAWED * dz - water * 4218.0
    heat = np.array([ground_heat(start, water, dry, 0.002, -1e-9)] * nodes)
    cold_extra = HEAT_FROZEN * dz - (dry + water * HEAT_ICE)
    assert abs(cold_extra) / (HEAT_FROZEN * dz) < 0.12
    temperature, slope, gamma = np.zeros(nodes), np.zeros(nodes), np.zeros(nodes)
    source, link, liquid = np.zeros(nodes), np.zeros(nodes), np.ones(nodes)

    def invert() -> None:
        for i in range(nodes):
            temperature[i], slope[i], liquid[i] = ground_temperature(heat[i], water, dry, 0.002, -1e-9)

    invert()
    fronts = []
    for _ in range(days * 24):
        k = THAWED + (FROZEN - THAWED) * (1.0 - liquid)
        half = 0.5 * dz / k
        link[0] = 1.0 / half[0]
        link[1:] = 1.0 / (half[1:] + half[:-1])
        old = heat.copy()
        for _ in range(12):
            heat_pass(0, -1, link[0] * surface, -link[0], old, heat, source, link, temperature, slope, gamma)
            solved = temperature.copy()
            invert()
            if np.abs(solved - temperature).max() < 0.005:
                break
        fronts.append(((1.0 - liquid) * dz).sum())
    return np.array(fronts), temperature


@pytest.mark.parametrize(("surface", "start"), NEUMANN)
def test_front_follows_neumann_within_two_per_cent_from_day_ten(surface: float, start: float) -> None:
    fronts, _ = frozen_column(surface, start, 30)
    exact = NEUMANN[surface, start]
    # the solver's frozen heat capacity is that of ice in the pores, 11 % under the row's: worth under 1 %
    # of the front
    assert fronts[10 * 24 - 1] == pytest.approx(exact[0], rel=0.02)
    assert fronts[30 * 24 - 1] == pytest.approx(exact[1], rel=0.02)


def test_front_on_day_one_within_three_per_cent() -> None:
    fronts, _ = frozen_column(-10.0, 0.0, 1)
    assert fronts[-1] == pytest.approx(0.2056, rel=0.03)  # Neumann, as above


def test_temperature_profile_after_ten_days() -> None:
    _, temperature = frozen_column(-10.0, 2.0, 10)
    at_ten_cm = 0.5 * (temperature[4] + temperature[5])
    assert at_ten_cm == pytest.approx(-8.341, abs=0.05)  # exact Neumann profile at 0.10 m


def test_daily_wave_is_damped_and_delayed_as_theory_says() -> None:
    conductivity, capacity, dz, nodes = 1.5, 2.3e6, 0.005, 400  # moist sand
    temperature, slope, gamma = np.zeros(nodes), np.full(nodes, 1.0 / (capacity * dz)), np.zeros(nodes)
    heat, source, link = np.zeros(nodes), np.zeros(nodes), np.full(nodes, conductivity / dz)
    link[0] *= 2.0
    hours = 24 * 20
    at_five = np.zeros(hours)
    wave = np.sin(2 * np.pi * (np.arange(hours) + 1.0) / 24.0)
    for t in range(hours):
        old = heat.copy()
        temperature[:] = heat * slope
        heat_pass(0, -1, link[0] * wave[t], -link[0], old, heat, source, link, temperature, slope, gamma)
        at_five[t] = 0.5 * (temperature[9] + temperature[10])
    last = at_five[-24:]
    assert 0.5 * (last.max() - last.min()) == pytest.approx(0.688, abs=0.03)  # exp(-z/D), D 0.134 m
    fit = np.angle(np.sum(last * np.exp(-2j * np.pi * np.arange(24) / 24.0))) - np.angle(
        np.sum(wave[-24:] * np.exp(-2j * np.pi * np.arange(24) / 24.0))
    )
    assert -fit * 24 / (2 * np.pi) == pytest.approx(3.82 * 0.05 / 0.134, abs=0.5)  # lag of one D is 3.82 h


@pytest.mark.parametrize(
    ("depth_of_cover", "conductivity", "expected"),
    [(0.0, 1.0, -15.4), (0.05, 2.22, -13.9), (0.05, 0.12, -5.3), (0.20, 0.12, -1.8)],
)
def test_steady_crown_under_ice_and_snow(depth_of_cover: float, conductivity: float, expected: float) -> None:
    # air -20, 0 degC at 0.30 m in frozen soil of 1.8 W m-1 K-1, surface exchange 20 W m-2 K-1: series
    # resistances
    nodes = 30
    dz = 0.01
    temperature, slope, gamma = np.zeros(nodes), np.full(nodes, 1.0 / (2.0e6 * dz)), np.zeros(nodes)
    heat, source, link = np.zeros(nodes), np.zeros(nodes), np.full(nodes, 1.8 / dz)
    cover = 1.0 / (1.0 / 20.0 + depth_of_cover / conductivity + 0.5 * dz / 1.8)
    slope[-1] = 1e-15  # a store so large that it stays at 0 degC
    for _ in range(3000):
        old = heat.copy()
        temperature[:] = heat * slope
        heat_pass(0, -1, cover * -20.0, -cover, old, heat, source, link, temperature, slope, gamma)
    top = temperature[0] + (temperature[0] - temperature[1]) * 0.5
    assert top == pytest.approx(expected, abs=0.5)


@pytest.mark.parametrize(
    ("thick", "air", "exchange", "expected"),
    [
        (5.0, -5.0, 10.0, 9.38),
        (5.0, -5.0, 20.0, 4.75),
        (5.0, -10.0, 10.0, 4.69),
        (10.0, -5.0, 10.0, 18.99),
        (10.0, -10.0, 20.0, 4.86),
        (20.0, -10.0, 10.0, 19.45),
        (20.0, -10.0, 20.0, 10.18),
    ],
)
def test_pond_freezes_in_the_hours_of_the_quasi_steady_solution(
    thick: float, air: float, exchange: float, expected: float
) -> None:
    # t = rho L / dT (h^2 / 2k + h / hs), hours to freeze a pond through; the column's own link over hourly
    # steps
    p = parameter_vector(None, 1)
    layers = soil_layers("sand")
    state = np.zeros(at.SIZE)
    state[at.MASS + at.TURF : at.MASS + at.NODES] = layers[:, at.FIELD]
    state[at.MASS + at.POND] = thick
    state[at.HEAT + at.POND] = LATENT_FUSION * thick
    work = {name: np.zeros(at.NODES) for name in ("heat", "source", "link", "temperature", "slope", "gamma")}
    liquid = np.ones(at.LAYERS)
    hours = 0.0
    while state[at.HEAT + at.POND] > 0.0 and hours < 100.0:
        work["heat"][:] = state[: at.NODES]
        conductances(at.POND, state, layers, p[0], liquid, work["link"])
        top = 1.0 / (1.0 / exchange + 1.0 / work["link"][at.POND])
        work["link"][at.TURF] = 0.0
        for _ in range(4):
            node_temperatures(
                at.POND, work["heat"], state, layers, work["temperature"], work["slope"], liquid
            )
            heat_pass(
                at.POND,
                -1,
                top * air,
                -top,
                state,
                work["heat"],
                work["source"],
                work["link"],
                work["temperature"],
                work["slope"],
                work["gamma"],
            )
        before, after = state[at.HEAT + at.POND], work["heat"][at.POND]
        lost = -top * air * HOUR
        hours += 1.0 if after > 0.0 else before / lost
        state[: at.NODES] = work["heat"]
    assert hours == pytest.approx(expected, rel=0.10)


def test_handbook_rows_of_snow() -> None:
    assert snow_conductivity(300.0) == pytest.approx(0.2121, abs=5e-4)  # Calonne et al. 2011
    for t, density in ((-20.0, 50.0), (-10.0, 69.0), (-5.0, 103.8), (0.0, 148.8), (2.0, 169.2), (5.0, 169.2)):
        assert new_snow_density(t) == pytest.approx(density, abs=0.1)  # Anderson 1976
    p = parameter_vector(None, 1)[0]
    albedo = cold = 0.85
    for _ in range(24):
        albedo, cold = aged_albedo(albedo, 0.0, 1.0, p), aged_albedo(cold, 0.0, 0.0, p)
    assert albedo == pytest.approx(0.7753, abs=5e-4)  # Essery 2015, 24 h melting
    assert cold == pytest.approx(0.8417, abs=5e-4)
    assert aged_albedo(0.60, 2.0, 1.0, p) == pytest.approx(0.6452, abs=0.005)


def test_vapour_pressure_over_ice_and_water() -> None:
    assert saturation(-10.0)[0] * 100 == pytest.approx(259.9, rel=0.005)  # Murphy and Koop 2005
    assert saturation(0.0)[0] * 100 == pytest.approx(611.2, rel=0.001)


def test_temperature_inverts_enthalpy_exactly() -> None:
    for t in (-20.0, -3.0, -0.25, -0.2, -0.1, 0.0, 4.0):
        heat = ground_heat(t, 8.0, 1.3e4, 0.15, -0.2)
        assert ground_temperature(heat, 8.0, 1.3e4, 0.15, -0.2)[0] == pytest.approx(t, abs=1e-9)
