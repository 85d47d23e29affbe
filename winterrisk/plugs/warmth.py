"""Thermal age: how much of the warmth and light that green-up needs a plug has had."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from winterrisk.plugs.plug import Batch, Plug

BASE_TEMPERATURE = "plug_base_temperature"
SECONDS_PER_DAY = 86400.0


def light_factor(light_mol: ArrayLike, *, half_light: float, reference_light: float) -> NDArray[np.float64]:
    """Speed of green-up in the given light against the reference light [1].

    f = [L / (L + L50)] / [Lref / (Lref + L50)]: saturating, 1 at the reference.

    Args:
        light_mol [mol m-2 d-1]: daily light; half_light, reference_light [mol m-2 d-1].
    Reference: judged (a saturating response; half-saturation not measured on plugs).
    """
    light = np.asarray(light_mol, dtype=np.float64)
    return np.asarray((light / (light + half_light)) / (reference_light / (reference_light + half_light)))


def warmth_per_day(
    temperature: ArrayLike, *, base: float, top: float = np.inf, light: ArrayLike = 1.0
) -> NDArray[np.float64]:
    """Thermal age gained in a day [degC d d-1] at a room temperature [degC], times the light factor."""
    room = np.asarray(temperature, dtype=np.float64)
    return np.asarray(np.maximum(0.0, np.minimum(room, top) - base) * np.asarray(light))


def thermal_age(
    temperature: ArrayLike,
    days: ArrayLike = 1.0,
    base: float = 5.0,
    top: float = np.inf,
    light: ArrayLike = 1.0,
) -> float:
    """Thermal age [degC d] after spells of `days` [d] at room temperatures [degC].

    theta = sum of days x max(0, min(T, top) - base) x light factor. One temperature or one a spell.
    """
    gained = warmth_per_day(temperature, base=base, top=top, light=light)
    return float(np.sum(gained * np.asarray(days, dtype=np.float64)))


def light_of(batch: Batch | None, values: Mapping[str, float]) -> float:
    """Daily light of a batch [mol m-2 d-1]: as noted, else as usual on a sill or under a lamp."""
    if batch is None:
        return values["plug_sill_light"]
    if not np.isnan(batch.light_mol):
        return batch.light_mol
    if batch.room != "lamp":
        return values["plug_sill_light"]
    hours = values["plug_lamp_hours"] if np.isnan(batch.light_hours) else batch.light_hours
    return hours * values["plug_lamp_light"]


def pace(batch: Batch | None, values: Mapping[str, float]) -> float:
    """Thermal age a batch gains in a day [degC d d-1]."""
    noted = batch is not None and not np.isnan(batch.temperature)
    temperature = batch.temperature if batch is not None and noted else values["plug_room_temperature"]
    light = light_factor(
        light_of(batch, values),
        half_light=values["plug_half_light"],
        reference_light=values["plug_reference_light"],
    )
    base, top = values[BASE_TEMPERATURE], values["plug_top_temperature"]
    return float(warmth_per_day(temperature, base=base, top=top, light=light))


def warm_from(plug: Plug, batch: Batch | None, values: Mapping[str, float]) -> np.datetime64:
    """When the plug's clock starts (UTC): in the warm, never before it was cut."""
    if batch is None or np.isnat(batch.warm_from):
        return plug.cut + np.timedelta64(round(values["plug_thaw_hours"] * 3600), "s")
    return max(batch.warm_from.astype("datetime64[s]"), plug.cut)


def days_between(start: np.datetime64, end: np.datetime64) -> float:
    """Days from start to end [d]."""
    return float((end - start) / np.timedelta64(1, "s")) / SECONDS_PER_DAY
