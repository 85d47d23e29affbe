"""Thresholds: the values of the table for one course, with the draws that say how unsure they are."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np
import tomlkit
from numpy.typing import NDArray

from winterrisk.science.faults import Fault, Refused, nearest
from winterrisk.science.keyed import KeyPart, generator
from winterrisk.thresholds.row import Acts
from winterrisk.thresholds.seal import SEAL, seal_of
from winterrisk.thresholds.table import TABLE

Draws = dict[str, NDArray[np.float64]]

DEFAULTS = "defaults"
"""Name of the version that nobody adopted: the table's values."""


class ThresholdsError(Refused):
    """A threshold that does not exist or cannot have that value."""


@dataclass(frozen=True)
class Thresholds:
    """Values by key, joint draws of the learned rows where a fit was adopted, and the trail of the version.

    version: "defaults" or the name of the adopted version. used: ids of plugs and surveys a fit has used
    already, so that nightly evidence does not count them twice.
    """

    values: Mapping[str, float]
    joint: Mapping[str, NDArray[np.float64]] = field(default_factory=dict)
    version: str = DEFAULTS
    used: frozenset[str] = frozenset()
    trail: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def defaults(cls) -> "Thresholds":
        """The published and judged values of the table."""
        return cls(MappingProxyType({key: row.value for key, row in TABLE.items()}))

    @classmethod
    def read(cls, folder: "Path | str") -> "Thresholds":
        """The adopted thresholds of a course folder; see `read_thresholds`."""
        from winterrisk.thresholds.read_thresholds import read_thresholds

        return read_thresholds(Path(folder))

    def with_value(self, key: str, value: float) -> "Thresholds":
        """The same thresholds with one value changed.

        Raises:
            ThresholdsError: unknown key (the nearest is named) or a value outside the row's range.
        """
        row = TABLE.get(key)
        if row is None:
            close = nearest(key, TABLE)
            hint = f"did you mean {close}?" if close else "see the table in docs/thresholds.md"
            raise ThresholdsError(Fault("threshold", key, "a name of the table", hint))
        if not row.low <= value <= row.high:
            raise ThresholdsError(
                Fault(key, f"{value:g} {row.unit}", f"{row.low:g} to {row.high:g}", "choose a value inside")
            )
        joint = {k: v for k, v in self.joint.items() if k != key}
        return Thresholds(MappingProxyType({**self.values, key: float(value)}), joint, "edited", self.used)

    def draw(self, n: int, key: tuple[KeyPart, ...], acts: Acts) -> Draws:
        """n keyed draws of every row that acts on `acts`: key -> array (n) in the row's unit.

        Latin hypercube of the priors, so that few draws still fill the ranges; rows learned by an adopted
        fit come from its joint draws, together.
        """
        draws: Draws = {}
        for name, row in TABLE.items():
            if row.acts != acts:
                continue
            rng = generator(*key, "draw", name)
            strata = (rng.permutation(n) + rng.random(n)) / n
            spread = row.quantile(strata)
            shift = row.to_scale(self.values[name]) - row.to_scale(row.value)
            draws[name] = spread if shift == 0 else row.from_scale(row.to_scale(spread) + shift)
        if acts == "chance" and self.joint:
            size = len(next(iter(self.joint.values())))
            rows = generator(*key, "joint").permutation(np.arange(max(n, size)) % size)[:n]
            draws |= {name: np.asarray(values)[rows] for name, values in self.joint.items()}
        return draws

    def to_toml(self) -> str:
        """The version as text: values that differ from the table, the trail, the evidence used, and a seal."""
        document = tomlkit.document()
        document.add(
            tomlkit.comment("Thresholds of this course. Change them with `winterrisk tune`, not by hand.")
        )
        document["version"] = self.version
        for name, text in self.trail.items():
            document[name] = text
        document["used"] = sorted(self.used)
        values: Any = tomlkit.table()
        for key, value in self.values.items():
            if value != TABLE[key].value:
                values[key] = value
        document["values"] = values
        document[SEAL] = seal_of(document.unwrap())
        return tomlkit.dumps(document)
