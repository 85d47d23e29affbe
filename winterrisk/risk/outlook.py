"""The outlook: for each zone, how likely how much of it is dead, tonight and by the dates that matter."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.course import Course
from winterrisk.risk.attribution import share_by_hazard
from winterrisk.risk.combine import dead_share, running_doses
from winterrisk.risk.frost_night import frost_nights
from winterrisk.risk.spread import BAND_LIMITS, BANDS, PARTS, band_chance, mixture_quantiles
from winterrisk.risk.standing import Standing
from winterrisk.risk.weights import Known
from winterrisk.thresholds import Draws

Array = NDArray[np.float64]
Day = np.datetime64

BAND_QUANTILES = (0.10, 0.90)
SHARE_QUANTILES = (0.05, 0.95)
BOUNDS_ONLY = 1e-3
"""Share of the weight below which a group of members bounds a range and nothing more [1] (judged)."""
SEEN_IN_THE_COLUMN = (
    "ice_thickness_max",
    "days_under_ice",
    "crown_water",
    "crown_temperature_min",
    "snow_depth_mean",
)
"""What a look would show: carried along for the decision to look."""
LATELY = 3
"""Days over which wet hours are summed for it [d] (judged)."""


@dataclass(frozen=True)
class _Pairs:
    """Expected dead share and weight of each (member, draw) of one zone and day, with gap groups."""

    p: Array
    weight: Array
    group: NDArray[np.int64]
    standing: Standing | None = None

    def quantiles(self, chosen: NDArray[np.bool_], precision: float) -> Array:
        """5 and 95 % of the dead share over the pairs of some members (member)."""
        p, weight = self.p[chosen], self.weight[chosen]
        if self.standing is None:
            return mixture_quantiles(p, weight, SHARE_QUANTILES, precision)
        return self.standing.of(chosen).quantiles(p, weight, SHARE_QUANTILES)


def _over_draws(value: Array, weight: Array) -> tuple[float, float]:
    """10 and 90 % over draws of the weighted mean over members; value and weight are (member, draw)."""
    per_draw = weight.sum(axis=0)
    keep = per_draw > 0
    mean = (value * weight).sum(axis=0)[keep] / per_draw[keep]
    order = np.argsort(mean)
    cumulative = np.cumsum(per_draw[keep][order])
    centre = (cumulative - 0.5 * per_draw[keep][order]) / cumulative[-1]
    low, high = np.interp(BAND_QUANTILES, centre, mean[order])
    return float(low), float(high)


def _summary(pairs: _Pairs, precision: float) -> dict[str, Array]:
    """Chances and ranges of one zone and day, with the expected dead share and the chance of parts of each pair.

    The ends of a chance span every way the gaps may have been. The range of the dead share is that of the whole
    mixture, in which those ways have their weight, so that it covers as often as it says; a way of negligible
    weight, which only bounds what data that are not there cannot rule out, still sets the upper end.
    """
    tail, expected = band_chance(pairs.p, precision), pairs.p
    if pairs.standing is not None:
        tail, expected = pairs.standing.chances(tail), pairs.standing.means(pairs.p)
    lows, highs, bounds = [], [], [0.0]
    for group in np.unique(pairs.group):
        chosen = pairs.group == group
        weight = pairs.weight[chosen]
        if weight.sum() <= 0:
            continue
        band_ranges = [_over_draws(tail[b][chosen], weight) for b in range(len(BANDS))]
        lows.append([r[0] for r in band_ranges])
        highs.append([r[1] for r in band_ranges])
        if weight.sum() < BOUNDS_ONLY * pairs.weight.sum():
            bounds.append(pairs.quantiles(chosen, precision)[1])
    chance = (tail * pairs.weight).sum(axis=(1, 2))
    whole = pairs.quantiles(np.ones(len(pairs.p), dtype=bool), precision)
    return {
        "chance": chance,
        "chance_low": np.minimum(np.min(lows, axis=0), chance),
        "chance_high": np.maximum(np.max(highs, axis=0), chance),
        "dead_share": np.asarray((expected * pairs.weight).sum()),
        "dead_low": np.asarray(whole[0]),
        "dead_high": np.asarray(max(whole[1], *bounds)),
        "expected": expected.astype(np.float32),
        "harmed": tail[PARTS].astype(np.float32),
    }


def outlook(
    harm: xr.Dataset,
    winter_days: xr.Dataset,
    course: Course,
    thresholds: Draws,
    weights: xr.DataArray | Known | None = None,
    evidence_until: Mapping[str, Day] | None = None,
    *,
    days: Sequence[Day] | None = None,
) -> xr.Dataset:
    """Chances and ranges of dead turf by zone and day, with the pairs they were worked from.

    The real dead share of a zone scatters about the expectation p(member, draw) of each possible winter and
    threshold draw as a beta distribution; a chance is the weighted mean over all pairs, a range the spread
    over draws, widened by the ways in which gaps in the weather may have been. Where a zone's own plugs tell of its
    rank among zones of the same expectation, that scatter is what the plugs leave of it.

    Args:
        harm, winter_days: of the same days, zones and members; winter_days may carry gap_group(member).
        thresholds: chance draws, key -> array (draw).
        weights: of `risk.known`, or weights alone (zone, member, draw) [1]; equal when left out.
        evidence_until: zone -> last day that plugs speak for.
        days: the days wanted (default: all).
    Returns:
        Dataset: chance, chance_low, chance_high (day, zone, band); dead_share, dead_low, dead_high (day, zone);
        share_by_hazard (day, zone, hazard); expected dead share and chance of parts, harmed (day, zone, member, draw),
        and weight (zone, member, draw);
        treated, data_share (day, zone); evidence_until (zone); closeness of the dead share to its expectation (zone);
        what a look would show (day, zone, member); frost_night (day, zone), the date that did most by frost; growing
        (day, zone) where harm says how far spring growth is.
    """
    doses = running_doses(harm)
    every_day = harm["day"].to_numpy().astype("datetime64[D]")
    wanted = every_day if days is None else np.asarray(days, dtype="datetime64[D]")
    places = np.searchsorted(every_day, wanted)
    if np.any(places >= len(every_day)) or np.any(every_day[places] != wanted):
        raise ValueError("a wanted day is not among the winter days")
    zones = [str(z) for z in harm["zone"].to_numpy()]
    n_member, n_draw = harm.sizes["member"], len(thresholds["background"])
    standing = weights.standing if isinstance(weights, Known) else {}
    weights = weights.weights if isinstance(weights, Known) else weights
    if weights is None:
        equal = np.full((len(zones), n_member, n_draw), 1.0 / (n_member * n_draw))
        weights = xr.DataArray(equal, dims=("zone", "member", "draw"), coords={"zone": zones})
    group = (
        np.asarray(winter_days["gap_group"]).astype(np.int64)
        if "gap_group" in winter_days
        else np.zeros(n_member, dtype=np.int64)
    )
    share = course.turf()["share"].sel(zone=zones, species=harm["species"])
    precision = float(np.mean(thresholds["survey_precision"]))
    rows: list[dict[str, Array]] = []
    for z, zone in enumerate(zones):
        cover = {str(s): float(share.sel(zone=zone, species=s)) for s in harm["species"].to_numpy()}
        weight = weights.sel(zone=zone).to_numpy()
        for p in dead_share(doses.isel(zone=z, day=places), cover, thresholds):
            rows.append(_summary(_Pairs(p, weight, group, standing.get(zone)), precision))
    shape = (len(zones), len(wanted))

    def stacked(name: str) -> Array:
        flat = np.stack([row[name] for row in rows])
        return np.moveaxis(flat.reshape(*shape, *flat.shape[1:]), 0, 1)

    data: dict[str, tuple[tuple[str, ...], NDArray[np.generic], dict[str, str]]] = {
        "chance": (
            ("day", "zone", "band"),
            stacked("chance"),
            _attrs("chance that more than the band is dead"),
        ),
        "chance_low": (
            ("day", "zone", "band"),
            stacked("chance_low"),
            _attrs("low end of that chance, 10 %"),
        ),
        "chance_high": (
            ("day", "zone", "band"),
            stacked("chance_high"),
            _attrs("high end of that chance, 90 %"),
        ),
        "dead_share": (("day", "zone"), stacked("dead_share"), _attrs("expected dead share")),
        "dead_low": (("day", "zone"), stacked("dead_low"), _attrs("dead share, 5 %")),
        "dead_high": (("day", "zone"), stacked("dead_high"), _attrs("dead share, 95 %")),
        "expected": (
            ("day", "zone", "member", "draw"),
            stacked("expected"),
            _attrs("expected dead share of each pair"),
        ),
        "harmed": (
            ("day", "zone", "member", "draw"),
            stacked("harmed"),
            _attrs("chance of parts of each pair"),
        ),
        "weight": (
            ("zone", "member", "draw"),
            weights.sel(zone=zones).to_numpy(),
            _attrs("weight of each pair"),
        ),
    }
    result = xr.Dataset(
        data,
        coords={"day": wanted, "zone": zones, "band": list(BANDS), "band_limit": ("band", list(BAND_LIMITS))},
    )
    result["share_by_hazard"] = share_by_hazard(doses, winter_days, places, share, thresholds, weights)
    result["frost_night"] = (("day", "zone"), frost_nights(doses, share, weights, thresholds, places))
    there = winter_days[[*SEEN_IN_THE_COLUMN, "treated", "data_share"]].isel(day=places)
    for name in SEEN_IN_THE_COLUMN:
        result[name] = there[name].transpose("day", "zone", "member")
    wet = winter_days["hours_wet"].transpose("day", "zone", "member").cumsum("day").to_numpy()
    earlier = np.maximum(places - LATELY, 0)
    lately = np.where((places >= LATELY)[:, None, None], wet[places] - wet[earlier], wet[places])
    result["hours_wet_lately"] = (("day", "zone", "member"), lately.astype(np.float32))
    result["hours_wet_lately"].attrs = {
        "units": "h",
        "long_name": "hours the crown was wet in the last 3 days",
    }
    for name in ("treated", "data_share"):
        value = there[name]
        result[name] = value.mean("member") if "member" in value.dims else value
        result[name].attrs = _attrs(str(winter_days[name].attrs.get("long_name", name)))
    if "spring_growth" in harm:
        result["growing"] = _growing(harm["spring_growth"].isel(day=places), share, weights)
    result.attrs["survey_precision"] = precision
    result.attrs["plug_correlation"] = float(np.mean(thresholds["plug_correlation"]))
    closeness = [standing[z].closeness if z in standing else precision for z in zones]
    result["closeness"] = (
        "zone",
        np.array(closeness),
        _attrs("how closely the dead share follows its expectation"),
    )
    known = evidence_until or {}
    until = np.array([known.get(z, np.datetime64("NaT", "D")) for z in zones], dtype="datetime64[s]")
    result["evidence_until"] = ("zone", until)
    return result


def _growing(growth: xr.DataArray, share: xr.DataArray, weights: xr.DataArray) -> xr.DataArray:
    """Chance that the grass grows, the grasses' mean by their cover (day, zone) [1]."""
    grows = (growth.transpose("species", "day", "zone", "member").to_numpy() >= 1.0).astype(np.float64)
    zones = growth["zone"].to_numpy()
    weight = weights.sel(zone=zones).sum("draw").transpose("zone", "member").to_numpy()
    cover = share.transpose("species", "zone").to_numpy()
    chance = np.einsum("sdzm,zm,sz->dz", grows, weight / weight.sum(axis=1, keepdims=True), cover)
    return xr.DataArray(
        chance / cover.sum(axis=0), dims=("day", "zone"), attrs=_attrs("chance that the grass grows")
    )


def _attrs(long_name: str) -> dict[str, str]:
    return {"units": "1", "long_name": long_name}
