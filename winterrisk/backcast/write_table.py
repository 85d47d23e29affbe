"""Writes the table of all winters to a file."""

from pathlib import Path

import pandas as pd

from winterrisk.science.faults import Fault, Refused


def write_table(table: pd.DataFrame, path: Path) -> None:
    """The table as CSV, numbers to five digits.

    Raises:
        Refused: the file cannot be written.
    """
    try:
        table.to_csv(path, index=False, float_format="%.5g", lineterminator="\n")
    except OSError as fault:
        found = fault.strerror or "cannot be written"
        raise Refused(
            Fault(str(path), found, "a file that can be written", "choose another path for --csv")
        ) from None
