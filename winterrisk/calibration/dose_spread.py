"""Doses that differ between possible winters: kept member by member, or one mean dose under a flatter kill curve.

A normal spread of the dose under a normal kill curve is a normal kill curve again, wider by the spread in quadrature;
the package's logistic curves are taken as normal ones of 1.702 times their scale (Camilli 1994, from memory). Pieces of
evidence of one zone then count as independent given the thresholds, which member by member they do not.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LOGISTIC_TO_NORMAL: Final = 1.702
"""Standard deviation of the normal curve nearest to a logistic one of scale 1 [1]."""
LEAST_DOSE: Final = 0.05
"""Ice dose below which its logarithm is not taken [1] (judged: far below any that kills)."""
MIDDLE: Final = 3
"""Place of the wet margin at half the shift among the parts of the wet-freeze dose."""
WIDENS: Final = {"ice": "ice_steepness", "cold": "cold_spread", "wet_freeze": "cold_spread"}
"""Row of the table that a hazard's curve is as wide as."""


def mean_dose(hazard: str, dose: Array, weight: Array) -> tuple[Array, float]:
    """Mean dose (1[, part]) of the members and its standard deviation, on the scale of the kill curve.

    Args:
        dose (member[, part]): of a hazard, in its unit; weight (member): adding to 1.
    """
    if hazard == "ice":
        logs = np.log(np.maximum(dose, LEAST_DOSE))
        mean = float(weight @ logs)
        return np.array([np.exp(mean)]), float(np.sqrt(weight @ (logs - mean) ** 2))
    told = np.tensordot(weight, dose, axes=1)
    along = dose if dose.ndim == 1 else dose[:, MIDDLE]
    mean = float(weight @ along)
    return np.asarray(told)[None], float(np.sqrt(weight @ (along - mean) ** 2))


def widened(draws: Mapping[str, Array], hazard: str, spread: float) -> dict[str, Array]:
    """Threshold draws with a hazard's kill curve flatter by the spread of its dose; others as they are.

    Args:
        draws: key -> values (draw); spread: of the dose on the curve's scale (ln for ice, else K).
    """
    row = WIDENS.get(hazard)
    if row is None or spread == 0.0:
        return dict(draws)
    own = np.asarray(draws[row], dtype=np.float64)
    if hazard == "ice":
        wide = LOGISTIC_TO_NORMAL / np.hypot(LOGISTIC_TO_NORMAL / own, spread)
    else:
        wide = np.hypot(LOGISTIC_TO_NORMAL * own, spread) / LOGISTIC_TO_NORMAL
    return {**draws, row: np.asarray(wide)}
