"""Whether the column's compiled code lies ready on disk."""

from pathlib import Path

from winterrisk.column.loop import run_columns
from winterrisk.science.compiled import COMPILED


def is_compiled() -> bool:
    """True where the column starts at once: its compiled code was kept, or nothing is compiled here at all."""
    if not COMPILED:
        return True
    folder = getattr(getattr(run_columns, "_cache", None), "cache_path", None)
    return bool(run_columns.signatures) or (
        folder is not None and any(Path(folder).glob("loop.run_columns*.nbi"))
    )
