"""Soils by name: what a person can tell of a green or a station, turned into the layer table."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.science.constants import CONDUCTIVITY_WATER, DENSITY_WATER

CONDUCTIVITY_QUARTZ = 7.7
CONDUCTIVITY_OTHER = 2.0
CONDUCTIVITY_ICE_COLD = 2.2
HEAT_SOLIDS = 2.0e6
"""Volumetric heat capacity of mineral and organic solids [J m-3 K-1] (common practice, from memory)."""
DENSITY_SOLIDS = 2700.0


@dataclass(frozen=True)
class Soil:
    """A soil: porosity, water at field capacity and wilting [1], quartz share of the solids [1],
    conductivity to water
    [mm h-1], width of the freezing curve [K], shape of conductivity against water, unfrozen and frozen."""

    porosity: float
    field: float
    wilt: float
    quartz: float
    water_rate: float
    ramp: float
    shape_wet: float
    shape_frozen: float
    dry: float | None = None

    @property
    def conductivity(self) -> tuple[float, float, float]:
        """Dry, wet and frozen-wet conductivity [W m-1 K-1].

        Reference: Johansen (1975) as in Peters-Lidard (1998), from memory.
        """
        solids = CONDUCTIVITY_QUARTZ**self.quartz * CONDUCTIVITY_OTHER ** (1 - self.quartz)
        dense = DENSITY_SOLIDS * (1 - self.porosity)
        dry = (0.135 * dense + 64.7) / (DENSITY_SOLIDS - 0.947 * dense) if self.dry is None else self.dry
        share = solids ** (1 - self.porosity)
        return (
            dry,
            share * CONDUCTIVITY_WATER**self.porosity,
            share * CONDUCTIVITY_ICE_COLD**self.porosity,
        )


SOILS = {
    "sand": Soil(0.40, 0.14, 0.04, 0.90, 120.0, 0.05, 3.55, 0.95),
    "sandy_loam": Soil(0.42, 0.22, 0.08, 0.60, 30.0, 0.10, 3.0, 0.95),
    "loam": Soil(0.46, 0.30, 0.12, 0.40, 12.0, 0.20, 1.9, 0.85),
    "clay_loam": Soil(0.48, 0.36, 0.18, 0.25, 3.0, 0.40, 1.9, 0.85),
    "silt": Soil(0.48, 0.34, 0.12, 0.10, 6.0, 0.20, 1.9, 0.85),
    "peat_sand": Soil(0.45, 0.20, 0.05, 0.80, 80.0, 0.06, 3.0, 0.95),
}
"""Porosity and quartz after Johansen's classes, water after common texture tables, shape after Cote and
Konrad (2005);
all from memory."""

MAT = Soil(0.70, 0.40, 0.12, 0.0, 50.0, 0.15, 0.72, 0.30, dry=0.07)
"""Thatch and mat of a green: moist about 0.25 W m-1 K-1, frozen and saturated 1.4 (peat analogues, from
memory)."""
MAT_WET, MAT_FROZEN = 0.50, 1.40

BUILDS = {"sand": ("peat_sand", "loam"), "push-up": ("loam", "clay_loam")}
"""Root zone and subsoil of each build (common practice)."""
ROOT_ZONE = 0.30
"""Depth of a built root zone [m]."""
PERCHED = 0.32
"""Water held just above the gravel of a sand build [1] (specification: 5-8 cm stay near saturation)."""
SUBSOIL_RATE = {"good": 20.0, "fair": 2.0, "poor": 0.2}
"""Water leaving below the root zone [mm h-1] by drainage class (judged)."""
SURFACE_RATE = {"good": 1.0, "fair": 0.5, "poor": 0.15}
"""Factor on the rate of the top 10 cm by drainage class (judged: poor zones are clogged)."""
ROOT_DEPTH = 0.08
"""e-folding depth of water uptake by short turf [m] (judged)."""


def layer_table(
    build: str,
    thatch: float,
    drainage: str,
    soil: str | None,
    vector: NDArray[np.float64],
    holding: float | None = None,
) -> NDArray[np.float64]:
    """The layer table (member, LAYERS, PROPERTIES) of a zone.

    Args:
        build: "sand" or "push-up"; unused where `soil` names one soil for the whole depth.
        thatch [m]: thickness of thatch and mat.
        drainage: "good", "fair" or "poor".
        soil: a name of SOILS or None.
        vector (member, PARAMETERS): drawn parameters.
        holding [1]: water the drained root zone keeps, by volume; the soil's own where None.
    """
    members = len(vector)
    table = np.zeros((members, at.LAYERS, at.PROPERTIES))
    tops = np.cumsum(at.DEPTHS) - at.DEPTHS
    roots = np.exp(-at.CENTRES / ROOT_DEPTH) * at.DEPTHS
    roots /= roots.sum()
    for i, dz in enumerate(at.DEPTHS):
        root_zone = at.CENTRES[i] < ROOT_ZONE
        kind = SOILS[soil] if soil else SOILS[BUILDS[build][0 if root_zone else 1]]
        organic = float(np.clip((thatch - tops[i]) / dz, 0.0, 1.0))
        k_dry, k_wet, k_frozen = kind.conductivity
        soil_k, mat_k = vector[:, par.SOIL_CONDUCT], vector[:, par.MAT_CONDUCT]

        def mixed(mat: float, mineral: float, share: float = organic) -> float:
            return share * mat + (1 - share) * mineral

        field = holding if holding is not None and root_zone and not soil else kind.field
        if not soil and build == "sand" and 0.13 <= tops[i] < ROOT_ZONE:
            field = PERCHED
        water = vector[:, par.FIELD_WATER]
        rate = kind.water_rate
        if not soil:
            rate = rate * SURFACE_RATE[drainage] if tops[i] < 0.10 else rate
            rate = rate if root_zone else SUBSOIL_RATE[drainage]
        porosity = mixed(MAT.porosity, kind.porosity)
        table[:, i, at.DRY_HEAT] = HEAT_SOLIDS * (1 - porosity) * dz
        table[:, i, at.PORE] = porosity * dz * DENSITY_WATER
        holds = np.minimum(mixed(MAT.field, field) * water, 0.95 * porosity)
        table[:, i, at.FIELD] = holds * dz * DENSITY_WATER
        table[:, i, at.WILT] = mixed(MAT.wilt, kind.wilt) * dz * DENSITY_WATER
        table[:, i, at.K_DRY] = organic * MAT.dry * mat_k + (1 - organic) * k_dry * soil_k
        table[:, i, at.K_WET] = organic * MAT_WET * mat_k + (1 - organic) * k_wet * soil_k
        table[:, i, at.K_FROZEN] = organic * MAT_FROZEN * mat_k + (1 - organic) * k_frozen * soil_k
        table[:, i, at.SHAPE_WET] = mixed(MAT.shape_wet, kind.shape_wet)
        table[:, i, at.SHAPE_FROZEN] = mixed(MAT.shape_frozen, kind.shape_frozen)
        table[:, i, at.RAMP] = mixed(MAT.ramp, kind.ramp)
        table[:, i, at.FREEZING] = organic * vector[:, par.CROWN_FREEZING] - (1 - organic) * 0.02
        table[:, i, at.CONDUCT] = (
            mixed(MAT.water_rate * SURFACE_RATE[drainage], rate) * vector[:, par.INFILTRATION]
        )
        table[:, i, at.ROOTS] = roots[i]
        table[:, i, at.POROSITY] = porosity
    return table
