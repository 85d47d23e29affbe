"""How long a fit takes: five winters, 24 zones, 120 plugs and as many surveys, averaged over members or widened.

python tests/calibration/benchmark_fit.py
"""

import time

import numpy as np
from courses import seen, truth, winter

from winterrisk.calibration import Winter, fit
from winterrisk.thresholds import Thresholds

WINTERS = ("2020-21", "2021-22", "2022-23", "2023-24", "2024-25")
ZONES = [f"{green} {part}" for green in range(1, 9) for part in ("low", "open", "ridge")]
MEMBERS = 20


def course() -> tuple[list[Winter], object]:
    """Winters of an invented course and what people would have found."""
    rng = np.random.default_rng(5)
    winters = [
        winter(
            name,
            {zone: float(rng.uniform(0.2, 2.4)) for zone in ZONES},
            members=MEMBERS,
            spread=0.3,
            wet={zone: float(rng.uniform(-6.0, 2.0)) for zone in ZONES},
        )
        for name in WINTERS
    ]
    return winters, seen(winters, truth(ice=1.5), "benchmark", plugs=1)


def main() -> None:
    """Prints seconds and what each learned."""
    winters, tables = course()
    print(f"{len(tables.plugs)} plugs, {len(tables.surveys)} surveys, {MEMBERS} members")
    for spread in ("members", "widened"):
        begin = time.perf_counter()
        found = fit(
            Thresholds.defaults(), winters, tables.plugs, tables.surveys, ("benchmark",), **tables.fit_arguments(),
            spread=spread,
        )  # fmt: skip
        row = found.learned[0]
        print(
            f"{spread}: {time.perf_counter() - begin:.1f} s, {row.key} {row.posterior}, moved {row.moved:+.2f}"
        )


if __name__ == "__main__":
    main()
