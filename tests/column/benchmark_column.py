"""Speed and memory of the column: column-hours per second on one core, daily output of many columns.

    python tests/column/benchmark_column.py            # compiled
    NUMBA_DISABLE_JIT=1 python tests/column/benchmark_column.py 2 20 20    # plain Python
    python tests/column/benchmark_column.py COLUMNS DAYS COLUMNS_OF_THE_SPEED_RUN

Not a test: prints one line each. The weather is invented, with snow, rain, ponding, ice and drains; all parameters are
drawn. One core; the best of three runs after the compiler has finished.
"""

import platform
import resource
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent))

from winters import FLAT, random_winter

from winterrisk import column
from winterrisk.science.compiled import COMPILED
from winterrisk.thresholds import Thresholds

run_module = sys.modules["winterrisk.column.run"]


def best_seconds(columns: int, days: int, times: int) -> float:
    """Seconds of the fastest of a few runs with daily output."""
    draws = Thresholds.defaults().draw(columns, "benchmark", acts="column")
    weather = random_winter(5, days)
    column.run(weather.isel(time=slice(0, 24)), FLAT, draws=draws, output="days")
    taken = []
    for _ in range(times):
        begin = time.perf_counter()
        column.run(weather, FLAT, draws=draws, output="days")
        taken.append(time.perf_counter() - begin)
    return min(taken)


def main(arguments: list[str]) -> int:
    """Prints machine, speed on one core and the memory of many columns."""
    columns, days, fast = (int(a) for a in (*arguments, *("10000", "180", "200")[len(arguments) :]))
    versions = f"Python {platform.python_version()}, NumPy {np.__version__}"
    if COMPILED:
        import numba

        versions += f", numba {numba.__version__}"
    print(f"{versions}, {platform.machine()}, {'compiled' if COMPILED else 'plain Python'}")
    run_module.CORES = 1
    seconds = best_seconds(fast, min(days, 180), 3)
    print(f"{fast * min(days, 180) * 24 / seconds:,.0f} column-hours per second on one core")
    seconds = best_seconds(columns, days, 1)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(f"{columns} columns x {days} days with daily output: {seconds:.1f} s, peak memory {peak:.0f} MB")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
