"""What a night's plan is made of: calls, those held back, and what was asked of whom and not answered yet."""

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Kind = Literal["look", "pull", "act"]


@dataclass(frozen=True)
class Call:
    """One thing to do: look, pull plugs or act, where, by when, why, and what would change it.

    worth: expected gain less its own cost, in the course's currency; minutes: time it takes; since: night on which
    it was first asked; control: where the batch's control plug comes from.
    """

    kind: Kind
    zone: str
    area: str
    by: dt.date
    number: int
    spots: tuple[str, ...]
    reason: str
    chance: float
    low: float
    high: float
    band: str
    until: dt.date
    held_because: str = ""
    change: str = ""
    worth: float = 0.0
    minutes: int = 0
    since: dt.date | None = None
    control: str = ""


@dataclass(frozen=True)
class Asked:
    """A call that went out and has not been answered: its kind, the nights it was first asked for and was to be
    done by, and the chance it told."""

    kind: Kind
    since: dt.date
    by: dt.date
    chance: float


@dataclass(frozen=True)
class Restraint:
    """What restrains a night: action messages of the winter so far, and calls not answered yet, by zone."""

    messages: int = 0
    asked: Mapping[str, Asked] = field(default_factory=dict)

    def without(self, answered: Collection[str]) -> "Restraint":
        """The same, less the zones where somebody looked, cut or surveyed."""
        return Restraint(self.messages, {z: a for z, a in self.asked.items() if z not in answered})

    def to_record(self) -> dict[str, Any]:
        """Plain values for the night's record."""
        rows = [
            {
                "zone": z,
                "kind": a.kind,
                "since": a.since.isoformat(),
                "by": a.by.isoformat(),
                "chance": a.chance,
            }
            for z, a in sorted(self.asked.items())
        ]
        return {"messages": self.messages, "asked": rows}

    @classmethod
    def of_record(cls, said: Mapping[str, Any] | None) -> "Restraint":
        """From a night's record; nothing asked where there is none."""
        if not said:
            return cls()
        asked = {
            r["zone"]: Asked(
                r["kind"],
                dt.date.fromisoformat(r["since"]),
                dt.date.fromisoformat(r["by"]),
                float(r["chance"]),
            )
            for r in said["asked"]
        }
        return cls(int(said["messages"]), asked)


@dataclass(frozen=True)
class Plan:
    """Calls of a night, those held back with the reason, the two looks that would help most, what restrains the
    next night, and what a message had to be worth."""

    calls: tuple[Call, ...]
    held_back: tuple[Call, ...]
    looks_wanted: tuple[Call, ...]
    restraint: Restraint = field(default_factory=Restraint)
    price: float = 0.0
