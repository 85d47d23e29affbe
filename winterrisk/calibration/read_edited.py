"""Thresholds that a person changed in the file itself: read so that they can be adopted by hand, never as they lie."""

import tomllib
from pathlib import Path

from winterrisk.calibration.proposal import Proposal
from winterrisk.science.faults import Fault, nearest
from winterrisk.science.read_capped import capped_text
from winterrisk.thresholds import TABLE, Thresholds, ThresholdsError
from winterrisk.thresholds.read_thresholds import NAME, flat_values


def read_edited(course: Path, standing: Thresholds, why: str) -> Proposal:
    """A proposal of the values that stand in a thresholds.toml changed by hand, over the version adopted last.

    Draws of a changed value are spread about it as the table's are; what a fit had learned of it is dropped.

    Args:
        course: folder; standing: the version adopted last; why: the reason.
    Raises:
        ThresholdsError: no such file, unreadable, an unknown name, an impossible value, or nothing changed.
    """
    path = course / NAME
    again = "mend the file, or `winterrisk tune DIR undo` to bring back what was adopted"
    try:
        document = tomllib.loads(capped_text(path))
    except OSError:
        raise ThresholdsError(Fault(str(path), "no file", "a changed thresholds.toml", again)) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        raise ThresholdsError(Fault(str(path), str(error), "a TOML file", again)) from None
    values, faults = flat_values(document.get("values", {})), []
    for key, value in values.items():
        row = TABLE.get(key)
        if row is None:
            close = nearest(key, TABLE)
            faults.append(Fault(f"{NAME} values.{key}", "an unknown name", "a name of the table",
                                f"nearest is {close}" if close else again))  # fmt: skip
        elif (
            isinstance(value, bool) or not isinstance(value, int | float) or not row.low <= value <= row.high
        ):
            faults.append(
                Fault(f"{NAME} values.{key}", f"{value}", f"{row.low:g} to {row.high:g} {row.unit}", again)
            )
    if faults:
        raise ThresholdsError(faults)
    wanted = {key: float(values.get(key, row.value)) for key, row in TABLE.items()}  # type: ignore[arg-type]
    changed = {key: value for key, value in wanted.items() if value != standing.values[key]}
    if not changed:
        raise ThresholdsError(
            Fault(str(path), f"the values of {standing.version}", "a changed value", "nothing to adopt")
        )
    edited = standing
    for key, value in changed.items():
        edited = edited.with_value(key, value)
    told = ", ".join(f"{key} {standing.values[key]:g} -> {value:g}" for key, value in changed.items())
    return Proposal(edited, f"changed in the file by hand: {told}, because {why.strip()}")
