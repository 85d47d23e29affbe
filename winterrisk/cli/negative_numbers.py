"""A command that takes numbers below zero as they are typed: `set cold_offset -1.5` is no option -1."""

import re
from typing import Final

import click
import typer.core

MINUS: Final = "\u2212"
"""Stands for the hyphen of a number while options are told from arguments."""
_NUMBER: Final = re.compile(r"-(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")


class NegativeNumbers(typer.core.TyperCommand):
    """A command whose arguments may be numbers below zero, read with `number`."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Tells options from arguments, a number below zero being an argument."""
        return super().parse_args(ctx, [MINUS + a[1:] if _NUMBER.fullmatch(a) else a for a in args])


def number(text: str) -> float:
    """The number typed.

    Raises:
        typer.BadParameter: it is none.
    """
    try:
        return float(text.replace(MINUS, "-"))
    except ValueError:
        raise typer.BadParameter(f"{text!r}, expected a number such as 1.8") from None
