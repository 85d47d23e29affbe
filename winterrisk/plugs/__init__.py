"""Plugs: what a core of turf in the warm can say, when it may be called, and what a number of them proves.

| file | question it answers |
|---|---|
| plug | what a plug, a look and a batch are |
| warmth, room | how much warmth and light has it had? |
| green_up | by when would a live one be green? |
| readings, likelihood | what did the looks read, and how likely is that if it lives, if it is dead? |
| batches | did the room work? (controls) |
| beta_binomial, zone_evidence | what do the plugs of a zone say of its dead share? |
| group_chance, verdicts, verdict_words | alive, too early to say, dead or void; due when |
| dead_chance, fitted_green_up | the textbook cases, one plug or many |
| dead_share_bounds, sample_size, proof | what do n plugs prove? how many are needed? |
| allocation, patches, sequential | where to put them, and when to stop |
"""

from winterrisk.plugs.allocation import (
    miss_chance_at_random,
    miss_chance_by_zone,
    naive_share,
    next_zones,
    none_dead_chance,
    none_dead_chances,
    post_stratified_share,
)
from winterrisk.plugs.beta_binomial import looks_of_zone_log_likelihood
from winterrisk.plugs.dead_chance import (
    alive_share,
    brown_share_for_verdict,
    dead_chance,
    dead_chance_in_batch,
    dead_chance_limit,
    dead_chance_shared_fate,
    verdict_age,
    verdict_day,
)
from winterrisk.plugs.dead_share_bounds import dead_share_interval, dead_share_upper
from winterrisk.plugs.fitted_green_up import (
    alive_share_profile,
    green_up_fit,
    green_up_log_likelihood,
    weibull_fit,
    weibull_scale,
)
from winterrisk.plugs.green_up import (
    age_when_brown,
    age_when_green,
    expected_green,
    gamma_median,
    green_by,
    still_brown,
    turned_green,
)
from winterrisk.plugs.patches import patch_miss_chance
from winterrisk.plugs.plug import (
    ANY_SPECIES,
    Batch,
    Look,
    Plug,
    PlugLogError,
    batches_from,
    looks_from,
    plugs_from,
)
from winterrisk.plugs.proof import counted_plugs, proof_words
from winterrisk.plugs.room import values_in_room
from winterrisk.plugs.sample_size import (
    effective_plugs,
    miss_chance,
    miss_chance_of_lot,
    plugs_from_lot,
    plugs_from_lot_exact,
    plugs_to_see_dead,
)
from winterrisk.plugs.sequential import earliest_acceptance, stop_lines
from winterrisk.plugs.verdicts import ALIVE, DEAD, EARLY, STATES, VOID, Verdict, verdict
from winterrisk.plugs.warmth import light_factor, pace, thermal_age, warm_from, warmth_per_day
from winterrisk.plugs.zone_evidence import Evidence, evidence, evidence_by_zone, log_likelihood

__all__ = [
    "ALIVE", "ANY_SPECIES", "DEAD", "EARLY", "STATES", "VOID", "Batch", "Evidence", "Look", "Plug",
    "PlugLogError", "Verdict", "age_when_brown", "age_when_green", "alive_share",
    "alive_share_profile", "batches_from", "brown_share_for_verdict", "counted_plugs",
    "dead_chance", "dead_chance_in_batch", "dead_chance_limit", "dead_chance_shared_fate",
    "dead_share_interval", "dead_share_upper", "earliest_acceptance", "effective_plugs", "evidence",
    "evidence_by_zone", "expected_green", "gamma_median", "green_by", "green_up_fit",
    "green_up_log_likelihood", "light_factor", "log_likelihood", "looks_from",
    "looks_of_zone_log_likelihood", "miss_chance", "miss_chance_at_random", "miss_chance_by_zone",
    "miss_chance_of_lot", "naive_share", "next_zones", "none_dead_chance", "none_dead_chances",
    "pace", "patch_miss_chance", "plugs_from", "plugs_from_lot", "plugs_from_lot_exact",
    "plugs_to_see_dead", "post_stratified_share", "proof_words", "still_brown", "stop_lines",
    "thermal_age", "turned_green", "values_in_room", "verdict", "verdict_age", "verdict_day",
    "warm_from", "warmth_per_day", "weibull_fit", "weibull_scale",
]  # fmt: skip
