"""Writes a table to a file of the caller's choice."""

from pathlib import Path

import pandas as pd

from winterrisk.science.faults import Fault, Refused


def write_table(table: pd.DataFrame, path: Path) -> None:
    """The table as CSV, numbers to five digits, or as a sheet where the name ends in .xlsx.

    Raises:
        Refused: the file cannot be written, or the spreadsheet library is not installed.
    """
    try:
        if path.suffix.casefold() == ".xlsx":
            table.to_excel(path, index=False)
        else:
            table.to_csv(path, index=False, float_format="%.5g", lineterminator="\n")
    except ImportError:
        move = "pip install 'winterrisk[xlsx]', or name a file .csv"
        raise Refused(Fault(str(path), "openpyxl is not installed", "it, to write .xlsx", move)) from None
    except OSError as fault:
        found = fault.strerror or "cannot be written"
        raise Refused(
            Fault(str(path), found, "a file that can be written", "choose another path for --csv")
        ) from None
