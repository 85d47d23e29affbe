"""Traits: the dose rows of one grass in one possible winter, as the loop wants them."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from winterrisk.thresholds.dose_rows import DOSE_ROWS

Array = NDArray[np.float64]
_DEFAULTS = {row.key: row.value for row in DOSE_ROWS}


class Traits(NamedTuple):
    """What a grass does with winter days; each field is a row of the table, with its unit there."""

    soft_kill: float
    target_width: float
    ceiling_loss: float
    cold_days_needed: float
    reharden_days: float
    snow_cost: float
    swing_cost: float
    swing_cap: float
    swing_fading: float
    dry_swing_share: float
    exposure_cost: float
    exposure_margin: float
    offset_least: float
    wetting_days: float
    drying_out_days: float
    drying_out_days_frozen: float
    fast_freeze_cost: float
    fast_freeze_rate: float
    soaked_kill: float
    warmest_wet_kill: float
    ice_warmth: float
    ice_hardiness_cost: float
    air_refill_days: float
    ice_relief_days: float
    spring_from: float
    spring_full: float
    spring_relapse_days: float
    spring_frost_stage: float
    mould_snow_depth: float
    pink_open_share: float
    pink_warmest: float
    grey_coldest: float
    kill_limit: float
    cool_share: float
    cool_midpoint: float
    cool_rate: float
    frost_rate: float
    frost_softening: float
    cool_softening: float
    spring_heat: float
    drying_pace: float
    ice_multiplier: float


_BY_SPECIES = frozenset(
    (
        "kill_limit",
        "cool_share",
        "cool_midpoint",
        "cool_rate",
        "frost_rate",
        "frost_softening",
        "cool_softening",
        "spring_heat",
        "drying_pace",
    )
)
KILL_LIMIT = Traits._fields.index("kill_limit")


def trait_table(
    traits: Mapping[str, NDArray[np.float64]], species: str, hardy: bool, members: int, ice_multiplier: float
) -> Array:
    """Traits of one grass (member, field), in the order of `Traits`; rows not drawn have the table's value.

    Args:
        traits: dose draws, key -> value or array (member).
        hardy: the hardy biotype (annual bluegrass only).
        ice_multiplier [1]: the table's default; survivors' loss inside the dose must not know learned rows.
    Raises:
        ValueError: a draw that has neither one value nor one a member, or is not a number.
    """
    table = np.empty((members, len(Traits._fields)))
    for column, name in enumerate(Traits._fields):
        if name == "ice_multiplier":
            table[:, column] = ice_multiplier
            continue
        key = f"{name}.{species}" if name in _BY_SPECIES else name
        if hardy and name == "kill_limit" and f"kill_limit_hardy.{species}" in _DEFAULTS:
            key = f"kill_limit_hardy.{species}"
        values = np.asarray(traits.get(key, _DEFAULTS[key]), dtype=np.float64)
        if values.size not in (1, members) or not np.all(np.isfinite(values)):
            raise ValueError(
                f"trait {key}: expected one number or one for each of {members} members, found {values}"
            )
        table[:, column] = values
    return table
