"""What plugs at known doses say of a threshold, without a course round them: small cases with exact references."""

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import expit

from winterrisk.calibration.smc import sequential_monte_carlo
from winterrisk.hazards.combination import combine, harm_amounts

Array = NDArray[np.float64]

QUANTILES: Final = (0.05, 0.50, 0.95)
_SURE: Final = 1e-12


def plug_information(chance: ArrayLike, steepness: float) -> Array:
    """Fisher information of one plug about the logarithm of the threshold: steepness^2 p (1 - p), log-logistic.

    Args:
        chance [1]: that the plug is dead; steepness [1]: of the dose response.
    """
    p = np.asarray(chance, dtype=np.float64)
    return np.asarray(steepness**2 * p * (1.0 - p))


def plugs_to_halve(spread: float, chance: ArrayLike, steepness: float) -> Array:
    """Plugs that halve the spread of a threshold's logarithm where all else is known [number].

    Args:
        spread [1]: standard deviation of the logarithm before; chance [1]: that a plug is dead; steepness [1].
    """
    return np.asarray(3.0 / spread**2 / plug_information(chance, steepness))


def any_cause(chances: Sequence[float]) -> float:
    """Chance of death by any of several independent causes [1]."""
    return float(combine({str(i): np.asarray(p, dtype=np.float64) for i, p in enumerate(chances)}))


def cause_shares(chances: Sequence[float]) -> Array:
    """Share of the harm -ln(1 - p) that each of several causes has [1]."""
    parts = np.array([float(harm_amounts({"ice": np.asarray(p)}, apart=True)["ice"]) for p in chances])
    return np.asarray(parts / parts.sum()) if parts.sum() > 0 else parts


def plug_dose_response(
    doses: ArrayLike,
    plugs: int,
    dead: ArrayLike,
    *,
    centre: float = 70.0,
    centre_sd: float = 0.35,
    steepness: float = 4.0,
    steepness_sd: float = 0.35,
    correlation: float = 0.0,
    at: Sequence[float] = (),
    particles: int = 8000,
    moves: int = 12,
    seed: str = "plug dose response",
) -> dict[str, Any]:
    """Posterior of a log-logistic dose response from plugs at known doses, by the package's own sampler.

    Returns: log_threshold and log_steepness (mean, standard deviation), threshold (5, 50, 95 %), kill (chance of death
    at the doses `at`), log_evidence.

    Args:
        doses (batch), dead (batch): units of `centre`, and how many of `plugs` died.
        centre, centre_sd: median of the threshold before, and standard deviation of its logarithm; likewise steepness.
        correlation [1]: of the plugs of one batch; 0 binomial, else beta-binomial.
        at: doses, in the same unit. particles, moves: of the sampler. seed: of its keyed draws.
    Raises:
        ValueError: a dose that is not above 0, or more dead than plugs.
    """
    d, y = np.asarray(doses, dtype=np.float64), np.asarray(dead, dtype=np.int64)
    if d.shape != y.shape or np.any(d <= 0) or np.any((y < 0) | (y > plugs)):
        raise ValueError(
            f"doses {d} and dead {y} of {plugs}: expected doses above 0 and 0 to {plugs} dead each"
        )

    from scipy.stats import betabinom, binom  # slow to load; nights do without

    def threshold(z: Array) -> Array:
        return np.asarray(np.log(centre) + centre_sd * z[:, 0])

    def slope(z: Array) -> Array:
        return np.asarray(np.log(steepness) + steepness_sd * z[:, 1])

    def kill(z: Array, where: Array) -> Array:
        return np.asarray(expit(np.exp(slope(z))[:, None] * (np.log(where) - threshold(z)[:, None])))

    def log_likelihood(z: Array) -> Array:
        p = np.clip(kill(z, d), _SURE, 1.0 - _SURE)
        if correlation == 0.0:
            return np.asarray(binom.logpmf(y, plugs, p).sum(axis=1))
        size = (1.0 - correlation) / correlation
        return np.asarray(betabinom.logpmf(y, plugs, p * size, (1.0 - p) * size).sum(axis=1))

    found = sequential_monte_carlo(log_likelihood, 2, (seed,), particles=particles, moves=moves)
    centre_of, slope_of = threshold(found.z), slope(found.z)
    wanted = np.asarray(at, dtype=np.float64)
    return {
        "log_threshold": [float(centre_of.mean()), float(centre_of.std())],
        "log_steepness": [float(slope_of.mean()), float(slope_of.std())],
        "threshold": np.exp(np.quantile(centre_of, QUANTILES)).tolist(),
        "kill": kill(found.z, wanted).mean(axis=0).tolist() if len(wanted) else [],
        "log_evidence": found.log_evidence,
    }
