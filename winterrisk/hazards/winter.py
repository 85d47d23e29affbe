"""The winter of one grass in one zone and possible winter, day by day: states, then doses."""

import math

import numpy as np

from winterrisk.hazards.cold import (
    certainty,
    dry_kill_temperature,
    exposed_days_after,
    felt_margin,
    least_margin,
)
from winterrisk.hazards.hardiness import (
    COOL_DAY,
    GROWING_KELVIN,
    LEAST_CEILING,
    LEAST_LEFT,
    breath_left_after,
    cool_store_after,
    cool_target,
    frost,
    frost_store_after,
    kill_temperature,
    spring_gate,
    spring_heat_after,
    spring_warmth,
    warmth,
)
from winterrisk.hazards.ice import airless_share, day_weight, half_kill_days, relieved, store_after
from winterrisk.hazards.names import NO_MARGIN, PARTS, WET_SIZES
from winterrisk.hazards.snow_mould_grey import grey_day
from winterrisk.hazards.snow_mould_pink import pink_day
from winterrisk.hazards.swings import lasting_swings, swing_cost_after
from winterrisk.hazards.traits import Traits
from winterrisk.hazards.wet_freeze import dried, wet_kill_temperature, wetted
from winterrisk.science.compiled import njit

OUTPUTS = (
    "kill_temperature",
    "hardening",
    "wetness",
    "spring_growth",
    "dose_cold",
    "dose_ice",
    "dose_drying",
    "dose_snow_mould_pink",
    "dose_snow_mould_grey",
    "dose_spring_frost",
)
"""Order of the loop's outputs; the wet-freeze dose has its own array."""
SPELL_OVER = 0.05
"""Ice dose [1] below which a spell without air is over; its cost then counts in the next one (judged)."""
_SIZES = len(WET_SIZES)
_PARTS = len(PARTS)


@njit
def start_stores(start: float, soft: float, limit: float, cool_share: float) -> tuple[float, float]:
    """Cool and frost store [0-1] of turf that starts at a kill temperature [degC].

    The frost store is the square of the cool one: turf poor in the first is poorer still in the second
    (judged; both are full at the limit).
    """
    hardened = min(1.0, max(0.0, (soft - start) / (soft - limit)))
    rest = 1.0 - cool_share
    cool = (math.sqrt(cool_share**2 + 4.0 * rest * hardened) - cool_share) / (2.0 * rest)
    return cool, cool**2


@njit
def _one_winter(days, day_of_year, t, start, out, wet_out):  # type: ignore[no-untyped-def]
    """Fill out (output, day) and wet_out (day, part) for one column; days (variable, day)."""
    hardened_start = start < t.soft_kill
    cool, frosted = (
        start_stores(start, t.soft_kill, t.kill_limit, t.cool_share) if hardened_start else (0.0, 0.0)
    )
    ceiling, breath_left, ice_left, ice_left_before = 1.0, 1.0, 1.0, 1.0
    ready = 1.0 if hardened_start else 0.0
    days_since_ready, heat, growth = 0.0, 0.0, 0.0
    wetness, swing, waiting, exposed = 0.0, 0.0, 0.0, 0.0
    store, ice, drying, pink, grey = 1.0, 0.0, 0.0, 0.0, 0.0
    cold_margin, spring_margin = NO_MARGIN, NO_MARGIN
    dry_margin = NO_MARGIN
    wet_margin = np.full(_SIZES, NO_MARGIN)
    span = t.soft_kill - t.kill_limit
    floor = least_margin(span, t.offset_least)
    always = GROWING_KELVIN / (t.cool_share * span)
    for d in range(days.shape[1]):
        low, mean, high = days[0, d], days[1, d], days[2, d]
        wet_share, cooling, sealed = days[3, d], days[4, d], days[5, d]
        store_days, aired, swings = days[6, d], days[7, d], days[8, d]
        snow, snow_unfrozen, drying_today = days[9, d], days[10, d], days[11, d]

        # freezes meet the hardiness the turf woke with, and the water of the wet hours before they dried
        kill = kill_temperature(t.soft_kill, t.kill_limit, t.cool_share, cool, frosted, breath_left, ice_left)
        wetness = wetted(wetness, wet_share, t.wetting_days)
        waiting, lasting = lasting_swings(waiting, swings, mean)
        swing = swing_cost_after(swing, lasting, t.swing_cost, t.swing_cap, t.swing_fading)
        exposed = exposed_days_after(exposed, mean, kill, t.exposure_margin)
        hardened = (t.soft_kill - kill) / span
        lost = min(swing, t.soft_kill - kill)
        dry_kill = dry_kill_temperature(kill, exposed, lost, t.exposure_cost, t.dry_swing_share)
        sure = certainty(hardened, t.offset_least)
        margin = felt_margin(dry_kill - low, sure, floor)
        dry_margin = max(dry_margin, margin)
        if growth >= t.spring_frost_stage:
            spring_margin = max(spring_margin, dry_kill - low)
        else:
            cold_margin = max(cold_margin, margin)
        exposure = t.exposure_cost * math.log(1.0 + exposed)
        fast = t.fast_freeze_cost if cooling > t.fast_freeze_rate else 0.0
        for i in range(_SIZES):
            wet_kill = wet_kill_temperature(
                kill,
                dry_kill,
                wetness,
                WET_SIZES[i],
                lost,
                exposure,
                fast,
                t.soaked_kill,
                t.warmest_wet_kill,
                t.dry_swing_share,
            )
            sure_wet = max(t.offset_least, sure * (1.0 - wetness * WET_SIZES[i]))
            wet_margin[i] = max(wet_margin[i], felt_margin(wet_kill - low, sure_wet, floor))
            wet_out[d, i + 1] = wet_margin[i]
        wet_out[d, 0] = dry_margin
        wetness = dried(wetness, wet_share, mean, t.drying_out_days, t.drying_out_days_frozen)

        # lack of air; hardiness for it is counted without what this spell itself has cost
        airless = airless_share(store, sealed, mean, store_days)
        store = store_after(store, sealed, mean, store_days, t.air_refill_days)
        if ice < SPELL_OVER:
            ice_left_before = ice_left
        if airless > 0.0:
            kill_before = kill_temperature(
                t.soft_kill, t.kill_limit, t.cool_share, cool, frosted, breath_left, ice_left_before
            )
            step = airless * day_weight(mean, t.ice_warmth) / half_kill_days(kill_before)
            ice += step
            least = min(ice_left, LEAST_LEFT)
            ice_left = max(least, ice_left - t.ice_hardiness_cost * step / t.ice_multiplier)
        ice = relieved(ice, min(aired, 1.0 - sealed), t.ice_relief_days)

        drying += drying_today * t.drying_pace
        pink += pink_day(
            snow_unfrozen, wet_share, mean, snow, t.mould_snow_depth, t.pink_open_share, t.pink_warmest
        )
        grey += grey_day(mean, snow, t.mould_snow_depth, t.grey_coldest)

        # hardening and softening of the day
        gate = spring_gate(day_of_year[d], t.spring_from, t.spring_full)
        gathered = spring_warmth(mean, snow, sealed, gate, t.mould_snow_depth)
        heat = spring_heat_after(heat, gathered, mean, t.spring_relapse_days)
        growth = min(1.0, heat / t.spring_heat)
        if ready >= 1.0:
            days_since_ready += 1.0
        elif COOL_DAY[0] < mean < COOL_DAY[1]:
            ready = min(1.0, ready + 1.0 / t.cold_days_needed)
        fade = max(0.0, 1.0 - days_since_ready / t.reharden_days)
        warm = warmth(low, mean, high)
        reach = max(max(LEAST_CEILING, ceiling) * (1.0 - growth), always)
        goal = reach * cool_target(low, mean, high, t.cool_midpoint, t.target_width)
        before = cool
        cool = cool_store_after(cool, goal, mean, warm, t.cool_rate, t.cool_softening, fade)
        ceiling -= t.ceiling_loss * ready * max(0.0, before - cool)
        frosted = frost_store_after(
            frosted, cool, warm, frost(low, mean, high), t.frost_rate, t.frost_softening, fade
        )
        breath_left = breath_left_after(breath_left, mean, snow, t.snow_cost, span)

        kill = kill_temperature(t.soft_kill, t.kill_limit, t.cool_share, cool, frosted, breath_left, ice_left)
        share = t.dry_swing_share + (1.0 - t.dry_swing_share) * wetness
        hardened = (t.soft_kill - kill) / span
        out[0, d] = kill + share * min(swing, t.soft_kill - kill)
        out[1, d] = hardened
        out[2, d] = wetness
        out[3, d] = growth
        out[4, d] = cold_margin
        out[5, d] = ice
        out[6, d] = drying
        out[7, d] = pink
        out[8, d] = grey
        out[9, d] = spring_margin


@njit
def all_winters(  # type: ignore[no-untyped-def]
    days, day_of_year, table, start, out, wet_out
):
    """Fill out (output, zone, member, day) and wet_out (zone, member, day, part) for one grass.

    Args:
        days (variable, zone, member, day), day_of_year (day): of `day_arrays`.
        table (zone, member, field): traits in the order of `Traits`.
        start [degC]: kill temperature at the first day; soft_kill or above for soft turf.
    """
    zones, members = days.shape[1], days.shape[2]
    for column in range(zones * members):
        z = column // members
        m = column % members
        f = table[z, m]
        traits = Traits(
            f[0], f[1], f[2], f[3], f[4], f[5], f[6], f[7], f[8], f[9], f[10], f[11], f[12], f[13],
            f[14], f[15], f[16], f[17], f[18], f[19], f[20], f[21], f[22], f[23], f[24], f[25], f[26],
            f[27], f[28], f[29], f[30], f[31], f[32], f[33], f[34], f[35], f[36], f[37], f[38], f[39],
            f[40], f[41],
        )  # fmt: skip
        _one_winter(days[:, z, m], day_of_year, traits, start, out[:, z, m], wet_out[z, m])
