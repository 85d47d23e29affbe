"""Fit: from plugs and surveys of past winters to proposed thresholds, and whether to trust them."""

from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import ndtri

from winterrisk.calibration.held_out import HeldOut, held_out
from winterrisk.calibration.learnable import DEFAULT_ROWS, beside_of, check_rows
from winterrisk.calibration.model import CourseModel, Spread, course_model
from winterrisk.calibration.pieces import Piece, pieces, survey_id
from winterrisk.calibration.proposal import PROPOSED
from winterrisk.calibration.refusals import Learned, refusals
from winterrisk.calibration.remembered import REMEMBERED
from winterrisk.calibration.separable import told_apart
from winterrisk.calibration.smc import Particles, sequential_monte_carlo
from winterrisk.calibration.speaking import speaking
from winterrisk.calibration.winter import Winter
from winterrisk.science.keyed import KeyPart, generator
from winterrisk.thresholds import TABLE, Row, Thresholds

Array = NDArray[np.float64]

PURPOSE = "fit"
"""What the draws of a course's stored fit are keyed by, beside the course."""
JOINT_DRAWS = 1000
"""Draws that a version keeps."""
QUANTILES = (0.05, 0.50, 0.95)
_MANY = (np.arange(1000) + 0.5) / 1000
"""Probabilities at which the prior's spread is worked."""


@dataclass(frozen=True)
class Fit:
    """Proposed thresholds and how they were come by.

    thresholds: the proposal, values of the learned rows their posterior medians. learned: what each row did.
    plugs, surveys: how many were used. log_evidence, smallest_effective, acceptance: of the sampler.
    refusals: reasons, in plain words, not to adopt it. left_out: evidence that could not be used, and why.
    """

    thresholds: Thresholds
    learned: tuple[Learned, ...]
    winters: tuple[str, ...]
    plugs: int
    surveys: int
    held_out: tuple[HeldOut, ...]
    refusals: tuple[str, ...]
    left_out: tuple[str, ...]
    beside: tuple[str, ...]
    log_evidence: float
    smallest_effective: float
    acceptance: float
    particles: int
    moves: int
    seed: str

    @property
    def values(self) -> dict[str, float]:
        """Posterior medians of the learned rows by key, each in its unit."""
        return {row.key: row.posterior[1] for row in self.learned}

    @property
    def draws(self) -> dict[str, Array]:
        """Joint posterior draws (draw) of the learned rows by key."""
        return {key: np.asarray(values) for key, values in self.thresholds.joint.items()}

    @property
    def used(self) -> frozenset[str]:
        """Ids of the plugs and surveys used."""
        return self.thresholds.used

    @property
    def remembered(self) -> int:
        """How many of the surveys are winters remembered in the course file."""
        return sum(name.startswith(survey_id(REMEMBERED)) for name in self.used)

    @property
    def basis(self) -> str:
        """What the fit rests on, in one line."""
        return (
            f"{self.plugs} plugs and {self.surveys} surveys of {', '.join(self.winters) or 'no winter'}; "
            f"{self.particles} particles, {self.moves} moves, seed {self.seed}, "
            f"log evidence {self.log_evidence:.2f}, smallest effective number {self.smallest_effective:.0f}"
        )


def fit(
    thresholds: Thresholds,
    winters: Sequence[Winter],
    plugs: pd.DataFrame,
    surveys: pd.DataFrame,
    key: tuple[KeyPart, ...],
    *,
    looks: pd.DataFrame,
    batches: pd.DataFrame,
    rows: Sequence[str] = DEFAULT_ROWS,
    beside: Sequence[str] | None = None,
    particles: int = 1000,
    moves: int = 12,
    spread: Spread = "members",
) -> Fit:
    """Thresholds learned from the plugs and spring surveys of past winters, by tempered Monte Carlo.

    The prior is the table's, whatever was adopted before: every fit starts afresh from all the evidence, so
    that none counts twice. Rows neither learned nor sampled beside are held at the values given.

    Args:
        thresholds: values of everything else. winters: replays of the past winters.
        plugs, surveys, looks, batches: tables of the book.
        key: what the draws are for (course, purpose).
        rows: keys to learn. beside: keys that are sampled too but not adopted; of `beside_of` when left out.
        spread: average over members, or widen the kill curves by the spread of the doses: quicker, a little rougher.
    Raises:
        CalibrationError: a row that is not learned.
    """
    asked = tuple(dict.fromkeys(rows))
    grasses = dict.fromkeys(str(s) for past in winters for s in past.harm["species"].to_numpy())
    others = beside_of(asked, tuple(grasses)) if beside is None else tuple(beside)
    check_rows((*asked, *others))
    together = (*asked, *(name for name in others if name not in asked))
    used, left_out = pieces(winters, plugs, surveys, looks=looks, batches=batches, values=thresholds.values)
    model = course_model(winters, used, together, thresholds.values, spread)
    found = sequential_monte_carlo(model.log_likelihood, len(together), key, particles=particles, moves=moves)
    checked = held_out(model, len(asked), key)
    joint = _joint(model, found, asked, key)
    learned = tuple(
        _learned(TABLE[name], model, joint[name], together.index(name), thresholds.values[name])
        for name in asked
    )
    values = {**thresholds.values, **{row.key: row.posterior[1] for row in learned}}
    ids = frozenset(name for piece in used for name in piece.ids)
    return Fit(
        Thresholds(MappingProxyType(values), MappingProxyType(joint), PROPOSED, ids),
        learned,
        tuple(dict.fromkeys(place.winter for place in model.places)),
        plugs=_number(used, "plug"),
        surveys=_number(used, "survey"),
        held_out=checked,
        refusals=refusals(learned, checked),
        left_out=left_out,
        beside=together[len(asked) :],
        log_evidence=found.log_evidence,
        smallest_effective=found.smallest_effective,
        acceptance=found.acceptance,
        particles=particles,
        moves=moves,
        seed=" ".join(str(part) for part in key),
    )


def _number(used: Sequence[Piece], kind: str) -> int:
    return len({name for piece in used if piece.kind == kind for name in piece.ids})


def _joint(
    model: CourseModel, found: Particles, names: Sequence[str], key: tuple[KeyPart, ...]
) -> dict[str, Array]:
    size = len(found.z)
    order = generator(*key, "joint draws").permutation(np.arange(max(size, JOINT_DRAWS)) % size)[:JOINT_DRAWS]
    draws = model.draws(found.z[order])
    return {name: draws[name] for name in names}


def _learned(row: Row, model: CourseModel, draws: Array, place: int, before: float) -> Learned:
    prior = row.quantile(np.array(QUANTILES))
    posterior = np.quantile(draws, QUANTILES)
    scaled = np.asarray(row.to_scale(draws))
    wide = row.to_scale(row.quantile(_MANY))
    sd = float(np.std(wide))
    ends = np.zeros((2, len(model.rows)))
    ends[:, place] = ndtri([QUANTILES[0], QUANTILES[-1]])
    spoken = speaking(model, ends)
    return Learned(
        key=row.key,
        label=row.label,
        unit=row.unit,
        before=before,
        prior=tuple(float(v) for v in prior),
        posterior=tuple(float(v) for v in posterior),
        moved=float((np.median(scaled) - np.median(wide)) / sd),
        width=float(np.std(scaled) / sd),
        plugs=spoken.plugs,
        surveys=spoken.surveys,
        alive=spoken.alive,
        dead=spoken.dead,
        apart=told_apart(model, row.key),
    )
