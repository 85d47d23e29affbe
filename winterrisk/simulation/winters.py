"""One simulated winter: its weather, its truth, and the planner's nights with forecasts and looks."""

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk import hazards, risk, sampling
from winterrisk.column.members import Members, members
from winterrisk.column.run import NEEDED, run
from winterrisk.column.state import State
from winterrisk.column.zones import joined_days
from winterrisk.course import Course, night_instant, winter_of
from winterrisk.microclimate import zone_ground, zone_weather
from winterrisk.plugs.said import plugs_said
from winterrisk.risk.combine import running_doses
from winterrisk.sampling.decision_days import cutting_days
from winterrisk.science.keyed import KeyPart, generator
from winterrisk.simulation.blocks import HOUR, NOMINAL, at_nominal, rejoined
from winterrisk.simulation.field import Field
from winterrisk.simulation.harm_told import chances_of_harm
from winterrisk.simulation.truth import Truth, true_winter
from winterrisk.thresholds import Draws, Thresholds
from winterrisk.weather.forecast_errors import ERRORS, error_courses

Array = NDArray[np.float64]
Key = tuple[KeyPart, ...]

FIRST, LAST = dt.date(NOMINAL, 11, 15), dt.date(NOMINAL + 1, 4, 15)
SPRING: Final = dt.date(NOMINAL + 1, 4, 1)
SUMMER: Final = np.datetime64(f"{NOMINAL}-08-01")
DAY: Final = np.timedelta64(1, "D")
NO_BATCHES: Final = pd.DataFrame({"id": [], "warm_from": [], "room": [], "temperature": [], "void": []})
NO_SURVEYS: Final = None


@dataclass(frozen=True)
class Size:
    """How much a simulated night works with."""

    n_ground: int = 4
    n_paths: int = 5
    n_draws: int = 100
    every: int = 2
    forecast_days: int = 10
    spring_every: int = 14


@dataclass(frozen=True)
class Played:
    """A winter as the planner went through it: truth, what the planner's people found, messages, calls, for the days
    on which one may order the running doses of the days that came and of the spring, to judge by, and what each night
    said, and would have said without plugs: chance of harm done so far (night, zone) [1]."""

    truth: Truth
    field: Field
    messages: int
    calls: int
    decisions: dict[dt.date, xr.Dataset]
    weight: Array
    draws: Draws
    nights: NDArray[np.datetime64]
    said: Array
    said_without_plugs: Array
    calls_made: list[tuple[str, str, str, float]] = field(default_factory=list)


@dataclass(frozen=True)
class Scene:
    """What does not change over a winter: weather of each zone (time), past winters that may follow (time, member),
    ground, members and draws."""

    truth_weather: xr.Dataset
    zone: dict[str, xr.Dataset]
    following: dict[str, xr.Dataset]
    ground: xr.Dataset
    several: Members
    draws: Draws


def scene(record: xr.Dataset, begins: Sequence[np.datetime64], course: Course, key: Key, size: Size) -> Scene:
    """A winter of pieces, and the members to meet it with.

    Args:
        record (time): whole winters, complete; begins: first hour of each, 1 August (UTC).
    """
    truth_weather = rejoined(record, begins, key)
    rng = generator(*key, "following")
    chosen = rng.choice(len(begins), size=size.n_paths, replace=False)
    past = _beside([at_nominal(record, begins[i]) for i in chosen])
    past = past.assign_coords(
        path=("member", np.arange(size.n_paths)),
        gap_group=("member", np.zeros(size.n_paths, np.int64)),
        path_weight=("member", np.full(size.n_paths, 1.0 / size.n_paths)),
    )
    thresholds = Thresholds.defaults()
    labels = course.zone_labels()
    return Scene(
        truth_weather,
        {z: zone_weather(truth_weather, course, z) for z in labels},
        {z: zone_weather(past, course, z) for z in labels},
        zone_ground(course),
        members(past, size.n_ground, (*key, "believed"), thresholds),
        thresholds.draw(size.n_draws, (*key, "believed"), "chance"),
    )


def _beside(winters: list[xr.Dataset]) -> xr.Dataset:
    """Winters on the same dates as paths (time, member); the sun and what is known of hours is one for all."""
    data = {}
    for name, value in winters[0].data_vars.items():
        if str(name).startswith(("sun", "shortwave_clear")) or str(name).endswith(("_origin", "_sd")):
            data[name] = value
        else:
            together = np.stack([w[name].to_numpy() for w in winters], axis=1)
            data[name] = xr.DataArray(together, dims=("time", "member"), attrs=value.attrs)
    return xr.Dataset(data, coords={"time": winters[0]["time"]}, attrs=winters[0].attrs)


def play(scene: Scene, course: Course, key: Key, size: Size, *, mismatched: bool) -> Played:
    """The planner's nights, every second one from 15 November to 15 April, its calls carried out as the crew works.

    Each night branches in memory from the end of the last; what follows the forecast days is worked anew every
    fortnight.
    """
    truth = true_winter(scene.zone, course, key, mismatched=mismatched)
    found = Field(truth, key)
    no_plugs: risk.Known | None = None
    decisions: dict[dt.date, xr.Dataset] = {}
    told: list[Array] = []
    alone: list[list[float]] = []
    turf = course.turf().sel(zone=list(truth.zones))
    nights = [FIRST + dt.timedelta(days=i) for i in range(0, (LAST - FIRST).days + 1, size.every)]
    states: dict[str, State] | None = None
    past: xr.Dataset | None = None
    spring: xr.Dataset | None = None
    restraint = sampling.Restraint()
    before = night_instant(FIRST - dt.timedelta(days=size.every), course.timezone)
    pending: list[tuple[dt.date, Any]] = []
    made: list[tuple[str, str, str, float]] = []
    calls = 0
    for count, on in enumerate(nights):
        for day, call in [p for p in pending if p[0] < on]:
            if call.kind == "look":
                found.look(call.zone, np.datetime64(day, "D"))
            else:
                found.pull(call.zone, np.datetime64(day, "D"), call.number)
        pending = [p for p in pending if p[0] >= on]
        now = night_instant(on, course.timezone)
        tables = found.tables(now)
        settled = np.datetime64(now, "h").astype("datetime64[ns]")
        days, states = _branch(scene, tables["observations"], states, settled)
        past = days if past is None else joined_days(past, days)
        ahead_weather = _ahead(scene, course, on, settled, key, size)
        ahead, ends = _run_ahead(scene, ahead_weather, states)
        if spring is None or (count * size.every) % size.spring_every == 0:
            stop = max(SPRING, on + dt.timedelta(days=size.forecast_days)) + dt.timedelta(days=2)
            spring, _ = _run_ahead(scene, scene.following, ends, np.datetime64(stop, "ns"))
        whole = joined_ahead(past, ahead, spring, max(SPRING, on + dt.timedelta(days=size.forecast_days)))
        harm = hazards.run(whole, turf, scene.several.traits)
        said = plugs_said(tables["plugs"], tables["looks"], NO_BATCHES, now, SUMMER)
        known = known_by(harm, tables, now, turf, scene.several.weight, scene.draws)
        until = SPRING if on < SPRING else on + dt.timedelta(days=size.forecast_days)
        wanted = sorted(
            {np.datetime64(on, "D") - 1, np.datetime64(until, "D"), *said.cut.values()}
            | {np.datetime64(d, "D") for d in cutting_days(on)}
        )
        outlook = risk.outlook(harm, whole, course, scene.draws, known, said.cut, days=wanted)
        plan = sampling.plan(
            outlook, course, _Book(tables), sampling.Stakes.of(course.money),
            scene.truth_weather.isel(time=slice(0, 1)), on, until=until, growing=said.growing, restraint=restraint,
            answered=_answered(tables, np.datetime64(before), truth.zones),
        )  # fmt: skip
        restraint, before = plan.restraint, now
        for call in plan.calls:
            if call.since == on:
                calls += 1
                made.append((on.isoformat(), call.kind, call.zone, call.chance))
                pending.append((call.by, call))
        told.append(outlook["chance"].sel(day=np.datetime64(on, "ns") - DAY, band="parts").to_numpy())
        if no_plugs is None:
            no_plugs = known_by(
                harm, Field(truth, key).tables(now), now, turf, scene.several.weight, scene.draws
            )
        so_far = chances_of_harm(harm, no_plugs, turf, scene.draws, np.datetime64(on, "D") - 1)
        alone.append([so_far[zone] for zone in truth.zones])
        if on in decision_nights(course, size):
            decisions[on] = _to_judge_by(harm, on)
    return Played(
        truth, found, restraint.messages, calls, decisions, scene.several.weight, scene.draws,
        np.array(nights, dtype="datetime64[D]"), np.array(told), np.array(alone), made,
    )  # fmt: skip


def _to_judge_by(harm: xr.Dataset, on: dt.date) -> xr.Dataset:
    """Running doses (species, day, zone, member) from the first night to `on`, and those of the spring."""
    day = harm["day"].to_numpy().astype("datetime64[D]")
    first, last = np.datetime64(FIRST, "D") - 1, np.datetime64(max(SPRING, on), "D")
    kept = ((day >= first) & (day <= np.datetime64(on, "D"))) | (day == last)
    return running_doses(harm).isel(day=np.flatnonzero(kept)).copy(deep=True)


def decision_nights(course: Course, size: Size) -> tuple[dt.date, ...]:
    """Nights on which an order is decided: the first from the course's days for seed and sod, and from 1 April."""
    winter = winter_of(FIRST)
    wanted = sorted({*(course.calendar.on(name, winter) for name in ("seed_order", "sod_order")), SPRING})
    nights = [FIRST + dt.timedelta(days=i) for i in range(0, (LAST - FIRST).days + 1, size.every)]
    return tuple(next(n for n in nights if n >= d) for d in wanted)


def known_by(
    harm: xr.Dataset,
    tables: dict[str, pd.DataFrame],
    now: np.datetime64,
    turf: xr.Dataset,
    base: Array,
    draws: Draws,
) -> risk.Known:
    """What plugs known by `now` say."""
    return risk.known(
        harm, draws, tables["plugs"], tables["looks"], NO_SURVEYS, batches=NO_BATCHES, share=turf["share"],
        base=base, on=now,
    )  # fmt: skip


@dataclass(frozen=True)
class _Book:
    tables: dict[str, pd.DataFrame]

    @property
    def observations(self) -> pd.DataFrame:
        return self.tables["observations"]

    @property
    def plugs(self) -> pd.DataFrame:
        return self.tables["plugs"]


def _answered(tables: dict[str, pd.DataFrame], since: np.datetime64, zones: Collection[str]) -> set[str]:
    return sampling.answered_since({"known": tables["observations"], "cut": tables["plugs"]}, since, zones)


def _branch(
    scene: Scene, seen: pd.DataFrame, states: dict[str, State] | None, until: np.datetime64
) -> tuple[xr.Dataset, dict[str, State]]:
    """Days that came since the last night, with what was seen in them, for every member.

    What came is one weather for all paths, so each ground draw is worked once and stands for all its members.
    """
    kinds, place = _ground_draws(scene.several)
    column = {name: np.asarray(values)[kinds] for name, values in scene.several.column.items()}
    column["path"] = np.zeros(len(kinds), np.int64)
    found, ends = [], {}
    for zone, weather in scene.zone.items():
        own = seen[seen["zone"] == zone]
        start = None if states is None else State(states[zone].time, states[zone].array[kinds])
        result, end = run(
            weather, scene.ground.sel(zone=zone), events=own, draws=column, output="days",
            start=start, until=until, keep_state=True,
        )  # fmt: skip
        found.append(result)
        ends[zone] = State(end.time, end.array[place])
    return _zones(found, scene, place), ends


def _ground_draws(several: Members) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """A member of each ground draw, and which of them stands for each member."""
    rows = np.stack([np.asarray(values, dtype=np.float64) for values in several.column.values()], axis=1)
    _, kinds, place = np.unique(rows, axis=0, return_index=True, return_inverse=True)
    return kinds, np.asarray(place).ravel()


def _run_ahead(
    scene: Scene,
    weathers: dict[str, xr.Dataset],
    states: dict[str, State],
    until: np.datetime64 | None = None,
) -> tuple[xr.Dataset, dict[str, State]]:
    column = {**scene.several.column, "path": scene.several.path}
    found, ends = [], {}
    for zone, weather in weathers.items():
        result, ends[zone] = run(
            weather, scene.ground.sel(zone=zone), draws=column, output="days", start=states[zone],
            until=until, keep_state=True,
        )  # fmt: skip
        found.append(result)
    return _zones(found, scene), ends


def joined_ahead(past: xr.Dataset, ahead: xr.Dataset, spring: xr.Dataset, last: dt.date) -> xr.Dataset:
    """Days that came, the forecast's, and up to `last` those of past winters: what lies nearer is never replaced by
    what was worked a fortnight before."""
    whole = joined_days(past, ahead)
    beyond = np.flatnonzero(spring["day"].to_numpy() >= whole["day"].to_numpy()[-1])
    if len(beyond):
        whole = joined_days(whole, spring.isel(day=slice(int(beyond[0]), None)))
    return whole.isel(
        day=slice(int(np.searchsorted(whole["day"].to_numpy(), np.datetime64(last, "ns"), "right")))
    )


def _ahead(
    scene: Scene, course: Course, on: dt.date, settled: np.datetime64, key: Key, size: Size
) -> dict[str, xr.Dataset]:
    """Forecast days as paths (time, member): what came, with errors of forecasts that grow with the lead.

    Temperatures err as the package's error model says; rain and snow of another winter stand in a growing share of
    the half-days, none on the first day and six in ten from the eighth.
    """
    times = scene.truth_weather["time"].to_numpy()
    first = int((settled - times[0]) / HOUR)
    hours = slice(first, first + 24 * size.forecast_days)
    lead = np.arange(24 * size.forecast_days, dtype=np.float64)
    number = first + np.arange(len(lead))
    error = error_courses(
        "temperature", lead, number, ERRORS.temperature, members=size.n_paths, key=(*key, str(on))
    )
    halves = generator(*key, "other rain", str(on)).random((len(lead) // 12 + 1, size.n_paths))
    other = (
        np.repeat(halves, 12, axis=0)[: len(lead)] < np.clip((lead - 24.0) / 168.0, 0.0, 1.0)[:, None] * 0.6
    )
    found = {}
    for zone, came in scene.zone.items():
        here = {name: came.variables[name][hours].to_numpy() for name in NEEDED}
        made = {}
        for name, value in here.items():
            spread = np.repeat(value[:, None], size.n_paths, axis=1).astype(np.float64)
            n = len(spread)
            if name in ("air_temperature", "dew_point"):
                spread = spread + error[:n]
            if name in ("precipitation", "snow_fraction"):
                past = scene.following[zone].variables[name].transpose("time", "member")[hours].to_numpy()
                spread = np.where(other[:n], past, spread)
            if name == "snow_fraction":
                warm = here["air_temperature"][:, None] + error[:n]
                spread = np.clip(np.where(warm > 2.5, 0.0, np.where(warm < -1.0, 1.0, spread)), 0.0, 1.0)
            made[name] = (("time", "member"), spread)
        found[zone] = xr.Dataset(made, coords={"time": times[hours]}, attrs=came.attrs)
    return found


def _zones(found: list[xr.Dataset], scene: Scene, place: NDArray[np.intp] | None = None) -> xr.Dataset:
    """Days of the zones side by side (day, zone, member); place: the worked column that stands for each member."""
    data = {}
    for name, first in found[0].variables.items():
        if first.dims == ("day", "member"):
            together = np.stack([f.variables[name].to_numpy() for f in found], axis=1)
            data[name] = (
                ("day", "zone", "member"), together if place is None else together[:, :, place], first.attrs
            )  # fmt: skip
    coords = {"day": found[0]["day"], "zone": list(scene.zone), "member": np.arange(scene.several.count)}
    return xr.Dataset(data, coords=coords)
