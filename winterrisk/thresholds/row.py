"""A parameter is a row: what it is, its value and range, where it comes from, and where it acts."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit, ndtr, ndtri

Shape = Literal["fixed", "uniform", "loguniform", "normal", "lognormal", "logit"]
Acts = Literal["column", "dose", "chance", "recovery"]


@dataclass(frozen=True)
class Row:
    """One parameter of the table.

    shape: "fixed" never varies; "uniform" and "loguniform" fill low..high; "normal" has sd in the unit,
    "lognormal" sd of the logarithm, "logit" sd of the log-odds, each about `value` and cut at low and high.
    """

    name: str
    label: str
    unit: str
    value: float
    low: float
    high: float
    shape: Shape
    source: str
    status: Literal["published", "judged"]
    acts: Acts
    species: str = ""
    learned: bool = False
    sd: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"{self.key}: value {self.value} outside {self.low}..{self.high}")
        if self.shape in ("normal", "lognormal", "logit") and not self.sd:
            raise ValueError(f"{self.key}: shape {self.shape} needs sd")
        if not self.source:
            raise ValueError(f"{self.key}: a number without a source")

    @property
    def key(self) -> str:
        """Name, with the species where the row belongs to one."""
        return f"{self.name}.{self.species}" if self.species else self.name

    def to_scale(self, value: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """The value on the scale where the prior is normal (or, for uniform shapes, flat)."""
        x = np.asarray(value, dtype=np.float64)
        if self.shape in ("lognormal", "loguniform"):
            return np.log(x)
        return np.asarray(logit(x), dtype=np.float64) if self.shape == "logit" else x

    def from_scale(self, scaled: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """The value in its unit from the scale of `to_scale`."""
        x = np.asarray(scaled, dtype=np.float64)
        if self.shape in ("lognormal", "loguniform"):
            return np.exp(x)
        return np.asarray(expit(x), dtype=np.float64) if self.shape == "logit" else x

    def quantile(self, u: NDArray[np.float64]) -> NDArray[np.float64]:
        """The prior's quantile (n) in the row's unit at probabilities u (n) in (0, 1)."""
        if self.shape == "fixed":
            return np.full(np.shape(u), self.value)
        low, high = self.to_scale(self.low), self.to_scale(self.high)
        if self.shape in ("uniform", "loguniform"):
            return self.from_scale(low + u * (high - low))
        middle = self.to_scale(self.value)
        below, above = ndtr((low - middle) / self.sd), ndtr((high - middle) / self.sd)
        return self.from_scale(middle + self.sd * ndtri(below + u * (above - below)))
