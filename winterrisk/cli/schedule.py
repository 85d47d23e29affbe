"""`winterrisk schedule`: the nights in this user's own crontab or systemd."""

from pathlib import Path
from typing import Annotated

import typer


def schedule(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    systemd: Annotated[
        bool, typer.Option("--systemd", help="a service and a timer of your own systemd instead of a crontab")
    ] = False,
    install: Annotated[
        bool, typer.Option("--install", help="write it: only the lines or files of this course")
    ] = False,
    remove: Annotated[
        bool, typer.Option("--remove", help="take it out again: only what was written for it")
    ] = False,
) -> None:
    """Print what runs the nights of a course unattended; write it with --install, take it out with --remove.

    Each night runs a few minutes after 04:00 of the course's clock, October to June. A night that was missed or
    failed is tried again each hour until the evening; one that was worked is left alone.

    Example: winterrisk schedule my_course --install
    """
    import datetime as dt
    from shlex import quote

    from winterrisk.course import read_course
    from winterrisk.science.faults import Fault
    from winterrisk.watch import write_schedule as world
    from winterrisk.watch.calendar import Calendar
    from winterrisk.watch.crontab import ScheduleError, block
    from winterrisk.watch.systemd_units import units

    if install and remove:
        raise ScheduleError(Fault("schedule", "--install and --remove", "one of them", "choose one"))
    course = read_course(folder)
    name, command = world.unit_name(course), world.night_command(course)
    calendar = Calendar.of(course.id, course.timezone)
    today = dt.datetime.now(dt.UTC).date()
    machine = world.machine_timezone()
    there = calendar.on_clock_of(machine, dt.date(today.year, 1, 15))
    files = units(name, course.place.name, command, calendar)
    lines = block(name, command, str(course.folder.resolve() / "schedule.log"), there)
    if remove:
        _remove(name, systemd)
        return
    if not install:
        typer.echo(
            "\n".join(f"# {unit}\n{text}" for unit, text in files.items()) if systemd else lines, nl=False
        )
        typer.echo(
            f"# printed only; to write it: winterrisk schedule {quote(str(folder))} --install"
            + (" --systemd" * systemd)
        )
    elif systemd:
        _install_units(name, files)
    else:
        changed = world.write_crontab(name, lines)
        typer.echo(f"{'written to' if changed else 'stood already in'} your crontab:\n{lines}", nl=False)
    where = "the journal (journalctl --user)" if systemd else f"{course.folder.resolve() / 'schedule.log'}"
    typer.echo(f"# what a run says goes to {where}; winterrisk status {quote(str(folder))} says how it is")
    typer.echo(f"# {calendar.clock_changes(today.year)}")
    if not systemd and machine != course.timezone:
        typer.echo(
            f"# this machine's clock is that of {machine}: the line is in its hours, and no run speaks before 04:00 in "
            f"{course.timezone}"
        )


def _install_units(name: str, files: dict[str, str]) -> None:
    from winterrisk.watch import write_schedule as world

    where = world.write_units(files)
    typer.echo(f"written: {', '.join(str(where / unit) for unit in files)}")
    start = ("enable", "--now", f"{name}.timer")
    why = world.systemctl("daemon-reload") or world.systemctl(*start)
    if why:
        typer.echo(
            f"not started ({why}); as the user it runs for: systemctl --user daemon-reload && "
            f"systemctl --user {' '.join(start)}"
        )
    typer.echo("# so that it also runs while you are not logged in: loginctl enable-linger")


def _remove(name: str, systemd: bool) -> None:
    from winterrisk.watch import write_schedule as world

    if systemd:
        world.systemctl("disable", "--now", f"{name}.timer")
        gone = world.remove_units(name)
        world.systemctl("daemon-reload")
    else:
        gone = world.write_crontab(name, "")
    typer.echo(f"{name}: taken out" if gone else f"{name}: nothing was there")
