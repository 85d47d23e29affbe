"""A proposal: thresholds that may be adopted, what they rest on, and the reasons against."""

from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Protocol

from winterrisk.thresholds import TABLE, Thresholds

PROPOSED = "proposed"
"""Version name of thresholds that nobody has adopted yet."""


class Adoptable(Protocol):
    """What may be adopted: a Fit or a Proposal."""

    @property
    def thresholds(self) -> Thresholds:
        """The values and joint draws."""

    @property
    def basis(self) -> str:
        """What they rest on, in one line."""

    @property
    def refusals(self) -> tuple[str, ...]:
        """Reasons not to adopt them."""


@dataclass(frozen=True)
class Proposal:
    """Thresholds that may be adopted, what they rest on in one line, and reasons not to adopt them."""

    thresholds: Thresholds
    basis: str
    refusals: tuple[str, ...] = ()


def by_hand(current: Thresholds, name: str, value: float, why: str) -> Proposal:
    """The current thresholds with one value set by a person.

    Its draws then spread about the new value as the table's do; what a fit had learned of it is dropped.

    Raises:
        ThresholdsError: an unknown name, or a value outside its row's range.
    """
    edited = current.with_value(name, value)
    unit = "" if TABLE[name].unit == "1" else f" {TABLE[name].unit}"
    return Proposal(
        edited, f"set by hand: {name} {current.values[name]:g} -> {value:g}{unit}, because {why.strip()}"
    )


def with_trail(proposed: Adoptable, name: str, **trail: str) -> Thresholds:
    """The proposed thresholds under a version name with a trail of their own."""
    said = {**trail, "basis": proposed.basis, "refused": "\n".join(proposed.refusals)}
    return replace(
        proposed.thresholds,
        version=name,
        trail=MappingProxyType({key: text for key, text in said.items() if text}),
    )


def from_trail(written: Thresholds) -> Proposal:
    """The proposal that a written version was."""
    refused = written.trail.get("refused", "")
    return Proposal(written, written.trail.get("basis", ""), tuple(refused.split("\n")) if refused else ())
