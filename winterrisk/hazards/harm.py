"""Harm: the doses of every hazard and the kill temperature, for each grass, day, zone and possible winter."""

from collections.abc import Mapping

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.hazards.days import day_arrays
from winterrisk.hazards.names import PARTS
from winterrisk.hazards.traits import Traits, trait_table
from winterrisk.hazards.winter import OUTPUTS, all_winters
from winterrisk.thresholds.chance_rows import CHANCE_ROWS
from winterrisk.thresholds.dose_rows import DOSE_ROWS

_SPRAY = next(row for row in DOSE_ROWS if row.name == "mould_left_by_spray")
_MOULD_PACE = next(row for row in DOSE_ROWS if row.name == "mould_pace")
_DEFAULT_MULTIPLIER = {row.species: row.value for row in CHANCE_ROWS if row.name == "ice_multiplier"}

_ATTRS = {
    "kill_temperature": ("degC", "kill temperature of the crown"),
    "hardening": ("1", "share of the possible hardening"),
    "wetness": ("1", "crown wetness after the day"),
    "spring_growth": ("1", "share of the way to growth in spring"),
    "dose_cold": ("K", "worst margin below the kill temperature, dry crown"),
    "dose_wet_freeze": ("K", "worst margin below the kill temperature, dry and wet crown"),
    "dose_ice": ("1", "airless days over half-kill days of timothy"),
    "dose_drying": ("d", "drying days"),
    "dose_snow_mould_pink": ("d", "pink-mould days"),
    "dose_snow_mould_grey": ("d", "grey-mould days"),
    "dose_spring_frost": ("K", "worst margin below the kill temperature since growth began"),
}


def run(
    winter_days: xr.Dataset,
    turf: xr.Dataset,
    traits: Mapping[str, NDArray[np.float64]],
    *,
    start_kill: float | None = None,
) -> xr.Dataset:
    """Doses and kill temperature (species, day, zone, member) of every grass of the turf; no chance in it.

    The kill temperature after each day's hardening, softening, swings, snow and ice, and one dose a hazard:
    dose_<hazard>, for wet freeze with a last axis `part`. All doses but the ice dose never fall.

    Args:
        winter_days (day, zone, member): of the column.
        turf: share (zone, species) [1]; hardy (zone) where annual bluegrass is of a hardy biotype; sprayed
            (zone) where the turf was sprayed against snow mould.
        traits: dose draws, key -> array (member); rows left out have the table's value.
        start_kill [degC]: kill temperature before the first day (turf past its need of cool days); soft turf
            when left out, right for a winter replayed from August.
    Returns:
        Dataset: kill_temperature, hardening [1], wetness [1], spring_growth [1], dose_<hazard>.
    Raises:
        WinterDaysError: a variable is absent or a number missing.
    """
    days = day_arrays(winter_days)
    zones, members, length = days.values.shape[1:]
    share = turf["share"]
    present = [str(s) for s in share["species"].to_numpy() if float(share.sel(species=s).sum()) > 0.0]
    labels = winter_days["zone"].to_numpy() if "zone" in winter_days.coords else share["zone"].to_numpy()
    hardy = _by_zone(turf, "hardy", labels)
    shape = (len(present), len(OUTPUTS), zones, members, length)
    out = np.empty(shape, dtype=np.float32)
    wet = np.empty((len(present), zones, members, length, len(PARTS)), dtype=np.float32)
    for index, species in enumerate(present):
        multiplier = _DEFAULT_MULTIPLIER[species]
        tables = [trait_table(traits, species, bool(h), members, multiplier) for h in hardy]
        soft = Traits._fields.index("soft_kill")
        start = (
            float(np.max([table[:, soft].max() for table in tables])) if start_kill is None else start_kill
        )
        all_winters(days.values, days.day_of_year, np.stack(tables), start, out[index], wet[index])
    coords = {"species": present, "day": winter_days["day"].to_numpy(), "zone": labels, "part": list(PARTS)}
    dims: tuple[str, ...] = ("species", "day", "zone", "member")
    data = {name: (dims, np.moveaxis(out[:, i], -1, 1), _attrs(name)) for i, name in enumerate(OUTPUTS)}
    for name in ("dose_snow_mould_pink", "dose_snow_mould_grey"):
        data[name] = (dims, data[name][1] * _mould_counted(turf, labels, traits), _attrs(name))
    data["dose_wet_freeze"] = ((*dims, "part"), np.moveaxis(wet, 3, 1), _attrs("dose_wet_freeze"))
    return xr.Dataset(data, coords=coords)


def one_dose(
    hazard: str, winter_days: xr.Dataset, turf: xr.Dataset, traits: Mapping[str, NDArray[np.float64]]
) -> xr.DataArray:
    """The dose of one hazard (species, day, zone, member[, part]), worked with all the others."""
    return run(winter_days, turf, traits)[f"dose_{hazard}"]


def _attrs(name: str) -> dict[str, str]:
    units, long_name = _ATTRS[name]
    return {"units": units, "long_name": long_name}


def _mould_counted(
    turf: xr.Dataset, labels: NDArray[np.generic], traits: Mapping[str, NDArray[np.float64]]
) -> NDArray[np.float32]:
    """Mould days that count for each day of mould weather (zone, member) [1]: fewer after an autumn spray."""
    pace, left = (
        np.atleast_1d(np.asarray(traits.get(row.key, row.value), dtype=np.float32))
        for row in (_MOULD_PACE, _SPRAY)
    )
    sprayed = _by_zone(turf, "sprayed", labels)
    return np.where(sprayed[:, None], pace * left, pace).astype(np.float32)


def _by_zone(turf: xr.Dataset, name: str, labels: NDArray[np.generic]) -> NDArray[np.bool_]:
    """What the turf says of its zones under `name` (zone), in the order of the labels; False where unsaid."""
    if name not in turf:
        return np.zeros(len(labels), dtype=bool)
    said = turf[name].sel(zone=labels) if "zone" in turf[name].coords else turf[name]
    return np.broadcast_to(said.to_numpy().astype(bool), len(labels))
