"""Batches: did the room work? A control that stays brown voids the plugs beside it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import expit, logit

from winterrisk.plugs.green_up import green_by
from winterrisk.plugs.likelihood import looks_log_likelihood
from winterrisk.plugs.plug import ANY_SPECIES, Batch, Look, Plug
from winterrisk.plugs.readings import Readings, readings

SURELY = 1.0 - 1e-9
"""Chances are kept below certainty."""


@dataclass(frozen=True)
class PlugLooks:
    """One plug and species with what its looks read, and how likely that is if alive and if dead."""

    plug: Plug
    species: str
    reading: Readings
    log_alive: float
    log_dead: float
    doubt: float


def room_doubt(batch: Batch | None, values: Mapping[str, float]) -> float:
    """Sd of the log warmth [1]: 0 where somebody noted the room's temperature."""
    noted = batch is not None and not np.isnan(batch.temperature)
    return 0.0 if noted else values["plug_room_doubt"]


def species_looked_at(looks: Sequence[Look]) -> tuple[str, ...]:
    """The grasses the looks told apart, in order of first mention; "all" where they told none."""
    named = dict.fromkeys(look.species for look in looks if look.species != ANY_SPECIES)
    return tuple(named) or (ANY_SPECIES,)


def plug_looks(
    plug: Plug, looks: Sequence[Look], batch: Batch | None, values: Mapping[str, float]
) -> tuple[PlugLooks, ...]:
    """A plug's looks, one entry for each grass they tell apart."""
    doubt = room_doubt(batch, values)
    entries = []
    for species in species_looked_at(looks):
        reading = readings(plug, looks, species, batch, values)
        alive, dead = looks_log_likelihood(reading, species, plug.crowns, values, doubt)
        entries.append(PlugLooks(plug, species, reading, alive, dead, doubt))
    return tuple(entries)


def control_failed(entries: Sequence[PlugLooks], values: Mapping[str, float]) -> bool:
    """True where the batch has controls, none has greened up, and it is late for one that did not."""
    controls = [entry for entry in entries if entry.plug.control and len(entry.reading.green)]
    if not controls or any(entry.reading.green.any() for entry in controls):
        return False
    return any(
        entry.reading.day[-1] >= values["plug_control_days"]
        and green_by(entry.reading.age[-1], entry.species, values, entry.doubt)
        >= values["plug_control_green"]
        for entry in controls
    )


def batch_is_void(batch: Batch | None, entries: Sequence[PlugLooks], values: Mapping[str, float]) -> bool:
    """True where a person threw the batch out or its controls stayed brown."""
    return (batch is not None and batch.void) or control_failed(entries, values)


def failure_log_odds(entry: PlugLooks, prior_dead: float, values: Mapping[str, float]) -> float:
    """What one plug adds to the log odds that nothing in its batch can green up."""
    dead = values["plug_control_dead"] if entry.plug.control else prior_dead
    worked = np.logaddexp(np.log1p(-dead) + entry.log_alive, np.log(dead) + entry.log_dead)
    return float(entry.log_dead - worked)


def failure_chance(others: Sequence[tuple[PlugLooks, float]], values: Mapping[str, float]) -> float:
    """Chance that nothing in a batch can green up [1], from its other plugs.

    Args:
        others: the batch's plugs but those judged, each with its prior chance of dead.
    """
    odds = logit(values["plug_batch_failure"])
    odds += sum(failure_log_odds(entry, prior, values) for entry, prior in others)
    return float(min(expit(odds), SURELY))
