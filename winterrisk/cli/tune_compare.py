"""The comparison of `winterrisk tune`: versions of this course and what other courses have adopted, side by side."""

from pathlib import Path

import typer

from winterrisk.calibration import read_proposed, read_version
from winterrisk.calibration.comparison import comparison, comparison_lines
from winterrisk.calibration.read_versions import has_proposal, version_names
from winterrisk.course import read_course
from winterrisk.reports.write_table import write_table
from winterrisk.science.faults import Fault, Refused, nearest
from winterrisk.thresholds import Thresholds

PROPOSED = "proposed"


def compare(folder: Path, beside: list[str], file: Path | None) -> None:
    """Print the values in force beside versions and courses; the proposal where nothing is named.

    Raises:
        Refused: a name that is no version and no course folder.
    """
    standing = Thresholds.read(folder)
    sides = {f"in force ({standing.version})": standing}
    wanted = beside or ([PROPOSED] if has_proposal(folder) else [])
    for name in wanted:
        label, thresholds = _named(folder, name)
        sides[label] = thresholds
    table = comparison(sides)
    typer.echo("\n".join(comparison_lines(table, list(sides))))
    if file is not None:
        write_table(table, file)
        typer.echo(f"table: {file}")


def _named(folder: Path, name: str) -> tuple[str, Thresholds]:
    if name == PROPOSED:
        return PROPOSED, read_proposed(folder).thresholds
    versions = version_names(folder)
    if name in versions:
        return name, read_version(folder, name)
    other = Path(name)
    if (other / "course.toml").exists():
        return read_course(other).place.name, Thresholds.read(other)
    close = nearest(name, [*versions, PROPOSED])
    move = f"did you mean {close}?" if close else "see `winterrisk tune DIR history` for names of versions"
    raise Refused(Fault("--with", repr(name), "a version, proposed, or a course folder", move))
