"""What the planner is worth beside the trade's customs, in winters with a truth that is not its model.

    python tests/simulation/study.py [--winters 300] [--minutes 58] [--cores 2] [--first 0.92] [--out docs/simulation]

Winters are re-joined from pieces of 15 to 30 days of the Champion record and, where WINTERRISK_FIELD_DATA is set, the
Great Lakes airport's, alternately. Prints a table for the mismatched truth and one for truth = model, writes both as
CSV and a picture. Stops starting winters when the minutes are over, and says how many it did.
"""

import argparse
import csv
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

sys.path.insert(0, str(Path(__file__).parents[1] / "story"))

from real_records import FIELD, SIX, airport_course, champion_course, champion_days

from winterrisk.backcast import on_record, read_work, whole_record
from winterrisk.course import Course, day_start, replay_start
from winterrisk.simulation import (
    HABITS,
    Outcome,
    Size,
    carried_out,
    outcome,
    play,
    scene,
    summary,
    whole_about,
)
from winterrisk.simulation.blocks import LENGTH
from winterrisk.simulation.field import Field
from winterrisk.simulation.winters import FIRST, LAST

PLANNER, NO_PLUGS = "planner", "no plugs, with the planner's outlook"
HALF_THE_TRIPS = "planner, half the trips of weekly plugs"
WEEKLY, ONCE = HABITS
BLUEGRASS = {"low": 0.6, "dam": 0.6, "shade": 0.5, "north": 0.4, "open": 0.1, "ridge": 0.1}
"""Share of annual bluegrass by zone, the rest creeping bent: a third of the green (mean of 96 North American courses,
survey of 2022), most of it where it stays wet and shaded (judged). The turf is sprayed against snow mould."""
Place = tuple[xr.Dataset, list[np.datetime64], Course]
_PLACES: dict[str, Place] = {}


def with_bluegrass(zones: str) -> str:
    """Zones of a course file, each with its own turf."""
    for name, share in BLUEGRASS.items():
        turf = f"turf = {{annual_bluegrass = {share}, creeping_bent = {1.0 - share:.1f}}}"
        zones = zones.replace(f'{{name = "{name}", ', f'{{name = "{name}", {turf}, ')
    return zones


def place_of(name: str) -> Place:
    """Record, first hours of its winters, and course of "champion" or "airport", read once a process."""
    if name not in _PLACES:
        folder = Path(tempfile.mkdtemp(prefix="winterrisk-study-"))
        if name == "airport":
            airport_course(folder, with_bluegrass(SIX), depth=False, near_water=False)
        else:
            champion_course(folder, champion_days(), with_bluegrass(SIX))
        with (folder / "course.toml").open("a", encoding="utf-8") as file:
            file.write("\n[turf]\nsnow_mould_spray = true\n")
        work = read_work(folder)
        end = np.datetime64(work.weather.span[1]).astype("datetime64[h]") + np.timedelta64(48, "h")
        record = whole_record(work.weather, work.course.id, end)
        times = record["time"].to_numpy()
        begins = [
            np.datetime64(day_start(replay_start(w.winter), work.course.timezone)).astype("datetime64[ns]")
            for w in on_record(record, work.course)
            if not w.why
        ]
        last = times[-1] - np.timedelta64(24 * LENGTH, "h")
        _PLACES[name] = record, [b for b in begins if times[0] <= b <= last], work.course
    return _PLACES[name]


def one_winter(number: int, place: str, mismatched: bool, size: Size) -> tuple[Any, ...]:
    """The planner's outcome, what the customs need to be carried out, and its messages, of one winter."""
    record, begins, course = place_of(place)
    key = ("study", place, number)
    played = play(scene(record, begins, course, key, size), course, key, size, mismatched=mismatched)
    return played, course, place, number


def customs(
    played: Any, course: Course, key: tuple[Any, ...], per_round: dict[str, float]
) -> dict[str, Outcome]:
    """Outcomes of every custom with so many plugs a round: by the plugs alone, and with the planner's outlook."""
    first, last = np.datetime64(FIRST, "D"), np.datetime64(LAST, "D")
    found = {}
    for name, habit in HABITS.items():
        field = carried_out(habit(played.truth, first, last), per_round[name], played.truth, (*key, name))
        found[name] = outcome(played, field, course, with_outlook=False)
        found[f"{name}, with the planner's outlook"] = outcome(played, field, course, with_outlook=True)
    return found


def run(
    winters: int, mismatched: bool, size: Size, cores: int, deadline: float, places: tuple[str, ...]
) -> tuple[list[dict[str, Any]], list[int], dict[str, list[Outcome]]]:
    """Rows of the table, messages of each winter, and all outcomes."""
    started: list[Any] = []
    with ProcessPoolExecutor(cores) as pool:
        waiting = {}
        number = 0
        while (number < winters and time.time() < deadline) or waiting:
            while number < winters and len(waiting) < cores and time.time() < deadline:
                place = places[number % len(places)]
                waiting[pool.submit(one_winter, number, place, mismatched, size)] = number
                number += 1
            done = [f for f in waiting if f.done()]
            for future in done:
                del waiting[future]
                started.append(future.result())
                print(f"  winter {len(started)} of {winters}", file=sys.stderr, flush=True)
            time.sleep(0.05)
    started.sort(key=lambda row: row[3])
    outcomes = accounts(started)
    return summary(outcomes, PLANNER), [played.messages for played, *_ in started], outcomes


def accounts(started: list[Any]) -> dict[str, list[Outcome]]:
    """Outcomes of every policy, one a winter: the customs with as many plugs in sum as the planner, and the planner
    with its first trips alone, half as many in sum as those of weekly plugs.

    Args:
        started: of `one_winter`.
    """
    first, last = np.datetime64(FIRST, "D"), np.datetime64(LAST, "D")
    plugs = sum(n for played, *_ in started for _, _, n, _ in played.field.rounds)
    rounds = {
        name: sum(len(habit(played.truth, first, last)) for played, *_ in started)
        for name, habit in HABITS.items()
    }
    per_round = {name: plugs / count if count else 0.0 for name, count in rounds.items()}
    outcomes: dict[str, list[Outcome]] = {}
    for played, course, place, at in started:
        own = {PLANNER: outcome(played, played.field, course, with_outlook=True)}
        nobody = Field(played.truth, ("study", place, at))
        own[NO_PLUGS] = outcome(played, nobody, course, with_outlook=True)
        own |= customs(played, course, ("study", place, at), per_round)
        for name, result in own.items():
            outcomes.setdefault(name, []).append(result)
    half = 0.5 * sum(o.trips for o in outcomes[WEEKLY]) / len(started)
    outcomes[HALF_THE_TRIPS] = [
        outcome(
            played,
            played.field.first_trips(whole_about(half, ("trips", place, at))),
            course,
            with_outlook=True,
        )
        for played, course, place, at in started
    ]
    return outcomes


def told(rows: list[dict[str, Any]], messages: list[int], title: str) -> str:
    """The table in words."""
    head = f"{title}: {rows[0]['winters']} winters, messages a winter: mean {np.mean(messages):.1f}"
    lines = [f"{head}, most {max(messages)}"]
    for r in rows:
        figures = ", ".join(f"{what} {r[what]:,.1f}" for what in ("plugs", "trips", "looks", "orders"))
        line = (
            f"  {r['policy']}: cost {r['cost']:,.0f}, {figures}, {r['known']:.0%} of hurt zones known before green-up, "
            f"{r['by_plugs']:.0%} by plugs alone, {r['wrong']:.0%} of what was told wrong"
        )
        if "gain" in r:
            line += f"; planner saves {r['gain']:,.0f} ({r['gain_low']:,.0f} to {r['gain_high']:,.0f}), with the board "
            line += f"{r['with_board']:,.0f} ({r['with_board_low']:,.0f} to {r['with_board_high']:,.0f})"
            line += f", knows {r['days_earlier']:.0f} d earlier, {r['earlier']:.0%} of {r['hurt']} hurt zones earlier, "
            line += f"{r['later']:.0%} later"
        lines.append(line)
    return "\n".join(lines)


def verdicts(rows: list[dict[str, Any]]) -> list[str]:
    """Each line that must hold, met or not."""
    by = {r["policy"]: r for r in rows}
    weekly, once, halved = (by[name] for name in (WEEKLY, ONCE, HALF_THE_TRIPS))
    asked = [
        (
            r["gain_low"] > 0,
            f"saves {r['gain_low']:,.0f} to {r['gain_high']:,.0f} on {r['policy']!r} (above 0 wanted)",
        )
        for r in (weekly, once)
    ]
    asked += [
        (
            once["days_earlier"] >= 14,
            f"known {once['days_earlier']:.0f} d before {ONCE!r} (14 wanted)",
        ),
        (
            once["days_earlier_by_plugs"] >= 14,
            f"by plugs alone {once['days_earlier_by_plugs']:.0f} d before {ONCE!r} (14 wanted)",
        ),
        (
            weekly["days_earlier"] >= 0 and weekly["days_earlier_by_plugs"] >= 0,
            f"known {weekly['days_earlier']:.0f} d before weekly, by plugs alone "
            f"{weekly['days_earlier_by_plugs']:.0f} d (never later wanted)",
        ),
        (
            halved["trips"] <= 0.5 * weekly["trips"] and halved["cost"] <= weekly["cost"],
            f"with {halved['trips']:.2f} trips {halved['cost']:,.0f}, weekly with {weekly['trips']:.2f} "
            f"{weekly['cost']:,.0f} (half the trips for the same value wanted)",
        ),
    ]
    return [f"{'met' if good else 'NOT MET'}: {text}" for good, text in asked]


def picture(tables: dict[str, list[dict[str, Any]]], path: Path) -> None:
    """The planner's gain on each custom with its interval."""
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    figure, axes = plt.subplots(figsize=(9.0, 3.6), layout="constrained")
    names = [r["policy"] for r in next(iter(tables.values())) if "gain" in r]
    for shift, (title, rows) in zip((-0.12, 0.12), tables.items(), strict=False):
        by = {r["policy"]: r for r in rows}
        gain = np.array([by[n]["gain"] for n in names])
        ends = np.array(
            [[by[n]["gain"] - by[n]["gain_low"], by[n]["gain_high"] - by[n]["gain"]] for n in names]
        ).T
        axes.errorbar(gain, np.arange(len(names)) + shift, xerr=ends, fmt="o", capsize=3,
                      label=f"{title}, {rows[0]['winters']} winters")  # fmt: skip
    axes.axvline(0.0, color="0.5", lw=1)
    axes.set_yticks(range(len(names)), names)
    axes.invert_yaxis()
    figure.supxlabel(
        "what the planner saves a winter on one green, mean and 90 % interval (illustrative USD)", fontsize=9
    )
    axes.legend(frameon=False, fontsize=8)
    path.parent.mkdir(parents=True, exist_ok=True)
    figure.savefig(path, dpi=120)


def main() -> None:
    """Both runs, printed and written."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--winters", type=int, default=300)
    parser.add_argument("--minutes", type=float, default=58.0)
    parser.add_argument("--cores", type=int, default=2)
    parser.add_argument(
        "--first", type=float, default=0.92, help="share of the minutes for the mismatched truth"
    )
    parser.add_argument("--out", type=Path, default=None)
    asked = parser.parse_args()
    places = ("champion", "airport") if FIELD else ("champion",)
    begin = time.time()
    tables = {}
    for title, mismatched, until in (("mismatched truth", True, asked.first), ("truth = model", False, 1.0)):
        deadline = begin + 60.0 * asked.minutes * until
        rows, messages, _ = run(asked.winters, mismatched, Size(), asked.cores, deadline, places)
        tables[title] = rows
        print(told(rows, messages, title))
        print("\n".join(f"  {line}" for line in verdicts(rows)), flush=True)
    print(f"{(time.time() - begin) / 60:.0f} min, records: {', '.join(places)}")
    if asked.out:
        for title, rows in tables.items():
            name = asked.out.parent / f"{asked.out.name}_{title.replace(' = ', '_is_').replace(' ', '_')}.csv"
            with name.open("w", newline="", encoding="utf-8") as file:
                keys = list(dict.fromkeys(k for row in rows for k in row))
                writer = csv.DictWriter(file, keys)
                writer.writeheader()
                writer.writerows(
                    {k: round(v, 3) if isinstance(v, float) else v for k, v in row.items()} for row in rows
                )
        picture(tables, asked.out.parent / "pictures" / f"{asked.out.name}.png")


if __name__ == "__main__":
    main()
