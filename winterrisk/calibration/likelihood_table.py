"""The likelihood of a piece of evidence as a table in the dead share and the plug correlation, for speed."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit

from winterrisk.calibration.pieces import Piece
from winterrisk.risk.spread import P_POINTS, p_grid

Array = NDArray[np.float64]

RHO_POINTS = 25
RHO_SPAN = 6.0
"""Correlations are tabulated at log-odds of +-6 about 0: 0.0025 to 0.9975."""
EDGE = 1e-6
"""Dead shares [1] nearest to 0 and 1 that are tabulated."""


class Cell(NamedTuple):
    """Where values fall in one axis of a table: lower index, and share of the way to the next."""

    lower: NDArray[np.intp]
    part: Array


def share_cell(p: Array) -> Cell:
    """Cell of dead shares p (...) [1] on the grid of `p_grid`, found from its cosine."""
    place = np.arccos(1.0 - 2.0 * np.clip(p, 0.0, 1.0)) * ((P_POINTS - 1) / np.pi)
    index = np.minimum(place.astype(np.intp), P_POINTS - 2)
    return Cell(index, place - index)


def rho_cell(rho: Array) -> Cell:
    """Cell of correlations rho (...) [1]."""
    place = (np.clip(logit(rho), -RHO_SPAN, RHO_SPAN) + RHO_SPAN) * ((RHO_POINTS - 1) / (2.0 * RHO_SPAN))
    index = np.minimum(place.astype(np.intp), RHO_POINTS - 2)
    return Cell(index, place - index)


def likelihood_table(piece: Piece, precision: float, rho: float | None) -> Array:
    """Log likelihood (rho, p) of a piece; one line at the given correlation, or a line for each of the grid.

    Args:
        precision [1]: of surveys. rho [1]: the plug correlation where it is not sampled, else None.
    """
    p = np.clip(p_grid(), EDGE, 1.0 - EDGE)[None, :]
    lines = expit(np.linspace(-RHO_SPAN, RHO_SPAN, RHO_POINTS)) if rho is None else np.array([rho])
    if piece.kind == "survey":
        lines = lines[:1]
    return np.asarray(piece.log_likelihood(p, lines[:, None], np.array(precision)))


def looked_up(table: Array, share: Cell, correlation: Cell | None) -> Array:
    """Log likelihood (member, draw) from a table, linear in both axes.

    Args:
        share (member, draw): cells of the dead share. correlation (draw): cells of the plug correlation.
    """
    if correlation is None or len(table) == 1:
        line = table[0]
        return np.asarray(line[share.lower] * (1.0 - share.part) + line[share.lower + 1] * share.part)
    flat = table.ravel()
    first = correlation.lower[None, :] * P_POINTS + share.lower
    low = flat[first] * (1.0 - share.part) + flat[first + 1] * share.part
    first += P_POINTS
    high = flat[first] * (1.0 - share.part) + flat[first + 1] * share.part
    return np.asarray(low + correlation.part * (high - low))
