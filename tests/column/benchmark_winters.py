"""How fast a backcast works through the winters of a long record.

    python tests/column/benchmark_winters.py
    python tests/column/benchmark_winters.py PROCESSES EVERY

Not a test: prints one line each. The record is Champion's (package aquacrop), daily, 36 winters and two halves; the
course is invented: six zones x 20 members (4 ground draws x 5 paths) from 1 August to 15 May, with chances. EVERY is
the number of days from one night to the next whose calls are worked too, 0 for none.
"""

import platform
import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "story"))

from real_records import SIX, champion_course, champion_days

from winterrisk.backcast import REPLAYED, all_winters, read_work
from winterrisk.column.read_compiled import is_compiled
from winterrisk.science.compiled import COMPILED, CORES


def processor_seconds() -> float:
    """Seconds of the processor that this process and those it has ended have used."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(u.ru_utime + u.ru_stime for u in used)


def main(arguments: list[str]) -> int:
    """Prints machine and versions, then the seconds of the whole backcast and of each winter."""
    processes, every = (int(a) for a in (*arguments, *(str(CORES), "0")[len(arguments) :]))
    versions = f"Python {platform.python_version()}, NumPy {np.__version__}"
    if COMPILED:
        import numba

        versions += f", numba {numba.__version__}"
    print(f"{versions}, {platform.machine()}, {CORES} cores")
    if not is_compiled():
        print("the column is not compiled yet: the first run takes longer")
    with tempfile.TemporaryDirectory() as folder:
        course = champion_course(Path(folder), champion_days(), SIX)
        zones = len(read_work(course).zones)
        begin, own = time.perf_counter(), processor_seconds()
        told = all_winters(course, every=every, processes=processes)
        taken, own = time.perf_counter() - begin, processor_seconds() - own
    count = len(told.ranked) + sum(row["part"] is not None for row in told.unsaid)
    members = REPLAYED.n_ground * REPLAYED.n_paths
    print(
        f"{count} winters, {zones} zones x {members} members, {REPLAYED.n_draws} draws, nights every {every or '-'} "
        f"days, {processes} processes: {taken:.0f} s, of the processor {own:.0f} s, {own / count:.1f} s a winter"
    )
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
