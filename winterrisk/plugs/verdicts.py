"""The verdict on each plug: alive, too early to say, dead or void, its chance, and when it falls due."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from winterrisk.plugs.batches import PlugLooks, batch_is_void, control_failed, failure_chance
from winterrisk.plugs.green_up import age_when_green
from winterrisk.plugs.group_chance import PlugChances, StayingBrown, brown_share_when_dead, dead_chances
from winterrisk.plugs.likelihood import missed_green_chance
from winterrisk.plugs.plug import Batch, Look, Plug, batches_from, looks_from, plugs_from, utc_moment
from winterrisk.plugs.verdict_words import verdict_words
from winterrisk.plugs.warmth import SECONDS_PER_DAY, pace, warm_from
from winterrisk.plugs.zone_evidence import Priors, all_plug_looks, by_batch, prior_of
from winterrisk.thresholds import Thresholds

ALIVE, EARLY, DEAD, VOID = "alive", "too early to say", "dead", "void"
STATES = (ALIVE, EARLY, DEAD, VOID)
LOOK_AGAIN = np.timedelta64(3, "D")
"""A plug read green that is not yet certain is looked at again after this."""
NEVER = np.datetime64("NaT", "s")

COLUMNS = (
    "plug", "zone", "species", "cut", "batch", "control", "state", "chance_dead", "due", "together",
    "too_few", "looks", "days_warm", "words",
)  # fmt: skip


@dataclass(frozen=True)
class Verdict:
    """One plug and grass.

    chance_dead [1]; due (UTC): when it can be called, or when its time is up. together: plugs of its zone and
    cut judged together; too_few: True where even these, brown for good, could not be called dead.
    """

    plug: str
    zone: str
    species: str
    cut: np.datetime64
    batch: str
    control: bool
    state: str
    chance_dead: float
    due: np.datetime64
    together: int
    too_few: bool
    looks: int
    days_warm: float
    words: str = ""


def _chances(group: list[PlugLooks]) -> PlugChances:
    return PlugChances(
        np.array([entry.log_alive for entry in group]), np.array([entry.log_dead for entry in group])
    )


def _last_look(entry: PlugLooks, batch: Batch | None, values: Mapping[str, float]) -> np.datetime64:
    days = float(entry.reading.day[-1])
    return warm_from(entry.plug, batch, values) + np.timedelta64(round(days * SECONDS_PER_DAY), "s")


def _due(
    group: list[PlugLooks], prior: float, failure: float, batch: Batch | None, values: Mapping[str, float]
) -> tuple[np.datetime64, bool]:
    """When plugs that stay brown can be called dead; if never, when their time is up, and True."""
    brown = np.array([not entry.reading.green.any() for entry in group])
    gain = pace(batch, values)
    if not brown.any() or gain <= 0:
        return NEVER, not brown.any() or gain <= 0
    missed = np.array([missed_green_chance(e.species, e.plug.crowns, values) for e in group])
    staying = StayingBrown(_chances(group), brown, missed, values["plug_false_green"])
    share = brown_share_when_dead(
        staying, prior, values["plug_prior_correlation"], failure, values["plug_confidence"]
    )
    never = share is None
    green = values["plug_last_green"] if share is None else 1.0 - share
    species, doubt = group[0].species, group[0].doubt
    days = age_when_green(green, species, values, doubt) / gain
    if not np.isfinite(days):
        return NEVER, True
    start = max(warm_from(entry.plug, batch, values) for entry in group)
    return start + np.timedelta64(round(days * SECONDS_PER_DAY), "s"), never


def _state(entry: PlugLooks, chance: float, values: Mapping[str, float]) -> str:
    """The state of one plug; a control is alive only once it has been seen green."""
    if not len(entry.reading.green) or (entry.plug.control and not entry.reading.green.any()):
        return EARLY
    if chance >= values["plug_confidence"]:
        return DEAD
    return ALIVE if chance <= 1.0 - values["plug_confidence"] else EARLY


def _judged(
    group: list[PlugLooks],
    others: list[tuple[PlugLooks, float]],
    prior: float,
    batch: Batch | None,
    on: np.datetime64,
    values: Mapping[str, float],
) -> list[Verdict]:
    """Verdicts of the plugs of one zone, grass, cut and batch."""
    failure = failure_chance(others, values)
    chances = dead_chances(_chances(group), prior, values["plug_prior_correlation"], failure)
    due, never = _due(group, prior, failure, batch, values)
    verdicts = []
    for entry, chance in zip(group, chances, strict=True):
        green = bool(entry.reading.green.any())
        state = _state(entry, float(chance), values)
        again = _last_look(entry, batch, values) + LOOK_AGAIN if green else due
        warm = float((on - warm_from(entry.plug, batch, values)) / np.timedelta64(1, "D"))
        verdicts.append(
            Verdict(
                plug=entry.plug.id,
                zone=entry.plug.zone,
                species=entry.species,
                cut=entry.plug.cut,
                batch=entry.plug.batch,
                control=entry.plug.control,
                state=state,
                chance_dead=float(chance),
                due=again if state == EARLY else NEVER,
                together=len(group),
                too_few=state == EARLY and never and not green,
                looks=len(entry.reading.green),
                days_warm=max(0.0, warm),
            )
        )
    return verdicts


def _groups(together: list[PlugLooks]) -> list[list[PlugLooks]]:
    """Plugs of one batch that share zone, grass and day of cut; controls one by one."""
    groups: dict[tuple[str, ...], list[PlugLooks]] = {}
    for entry in together:
        day = str(entry.plug.cut.astype("datetime64[D]"))
        own = entry.plug.id if entry.plug.control else ""
        groups.setdefault((entry.plug.zone, entry.species, day, own), []).append(entry)
    return list(groups.values())


def verdict(
    plugs: pd.DataFrame | Iterable[Plug],
    looks: pd.DataFrame | Iterable[Look],
    *,
    batch: pd.DataFrame | Iterable[Batch] | Batch | None,
    priors: Priors,
    on: np.datetime64 | str,
    values: Mapping[str, float] | None = None,
    timezone: str = "UTC",
) -> pd.DataFrame:
    """Verdict on each plug and grass as of `on`: state, chance it is dead, and when it falls due.

    Plugs of one zone, cut on one day, speak for one another; a batch whose control stays brown is void. A
    brown plug may be called dead only late, and where the prior is low never from one plug alone.

    Args:
        plugs, looks, batch: the book's tables, or Plugs, Looks and Batches. Plugs cut and looks taken after
            `on` are left out.
        priors [1]: chance of dead before the looks: one for all, or by zone label or plug id.
        on: UTC. values: threshold values by key. timezone: for the dates in the words.
    Returns:
        One row a plug and grass in the order of the plugs: plug, zone, species, cut, batch, control, state,
        chance_dead, due (UTC, missing once called), together (plugs judged together), too_few (to be called
        dead), looks, days_warm, words.
    """
    table = Thresholds.defaults().values if values is None else values
    now = utc_moment(on)
    cut = plugs_from(plugs)
    room = batches_from(batch)
    entries = all_plug_looks(cut, looks_from(looks), room, now, table)
    verdicts: list[Verdict] = []
    for name, together in by_batch(entries).items():
        place = room.get(name)
        void = batch_is_void(place, together, table)
        by_control = control_failed(together, table)
        prior = {id(e): _prior(e, priors, table) for e in together}
        for group in _groups(together):
            ids = {entry.plug.id for entry in group}
            others = [(e, prior[id(e)]) for e in together if e.plug.id not in ids]
            mean = float(np.mean([prior[id(entry)] for entry in group]))
            for item, entry in zip(_judged(group, others, mean, place, now, table), group, strict=True):
                verdicts.append(_voided(item, prior[id(entry)]) if void else item)
        zone = ZoneInfo(timezone)
        seen = {(entry.plug.id, entry.species): entry for entry in together}
        last = len(verdicts) - len(together)
        for index in range(last, len(verdicts)):
            item = verdicts[index]
            entry = seen[item.plug, item.species]
            words = verdict_words(item, entry.reading, entry.plug.crowns, by_control, now, zone)
            verdicts[index] = Verdict(**{**item.__dict__, "words": words})
    order = {plug.id: number for number, plug in enumerate(cut)}
    verdicts.sort(key=lambda item: order[item.plug])
    frame = pd.DataFrame([item.__dict__ for item in verdicts], columns=list(COLUMNS))
    return frame.astype({"cut": "datetime64[s]", "due": "datetime64[s]"})


def _prior(entry: PlugLooks, priors: Priors, values: Mapping[str, float]) -> float:
    prior = values["plug_control_dead"] if entry.plug.control else prior_of(entry.plug, priors, values)
    return float(np.clip(prior, 1e-6, 1 - 1e-6))


def _voided(item: Verdict, prior: float) -> Verdict:
    kept = {"state": VOID, "chance_dead": prior, "due": NEVER, "too_few": False}
    return Verdict(**{**item.__dict__, **kept})
