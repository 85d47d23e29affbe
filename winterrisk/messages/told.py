"""What the people were told so far, as the outbox has it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from winterrisk.messages.write_outbox import OF_CALLS, Kept


@dataclass(frozen=True)
class Told:
    """What went out or waits; what nobody will get any more counts as not told.

    Attributes:
        last: what the last message on calls said (`reports.news.said_of`), empty before the first. action_nights:
            dates of action messages of this winter. verdicts: zone and plug. notices: kind and what it is about ->
            when last told [UTC]. digests: dates.
    """

    last: Mapping[str, Any] = field(default_factory=dict)
    action_nights: frozenset[str] = frozenset()
    verdicts: frozenset[tuple[str, str]] = frozenset()
    notices: Mapping[tuple[str, str], np.datetime64] = field(default_factory=dict)
    digests: tuple[str, ...] = ()

    @classmethod
    def of(cls, kept: Sequence[Kept], first_night: str) -> "Told":
        """From the outbox, oldest first; action messages count from the night `first_night` (ISO) on."""
        live = [row for row in kept if not row.lost]
        of_calls = [row for row in live if row.kind in OF_CALLS]
        return cls(
            last=max(of_calls, key=lambda row: row.night).about["said"] if of_calls else {},
            action_nights=frozenset(
                row.night for row in live if row.kind == "action" and row.night >= first_night
            ),
            verdicts=frozenset((zone, plug) for row in live for zone, plug in row.about.get("due", ())),
            notices={
                (kind, what): row.written for row in live for kind, what in row.about.get("notices", ())
            },
            digests=tuple(sorted({row.night for row in kept if row.kind == "digest"})),
        )
