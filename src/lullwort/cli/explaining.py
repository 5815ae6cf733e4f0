"""`--explain` of every command that shows figures: the formula of each and its source."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

import click

from lullwort.cli.lines import say
from lullwort.decimalmark import DecimalMark, with_mark
from lullwort.explained import Explained

__all__ = ["as_documents", "explain_option", "say_explained"]

_DECIMALS = re.compile(r"[0-9]\.(?=[0-9])")

explain_option = click.option("--explain", is_flag=True, help="Tell of each figure its formula and where it is from.")


def say_explained(figures: Iterable[Explained], decimal: DecimalMark = "point") -> None:
    """Print how figures come about, each once, in their order; numbers in formulas with the mark of `Units.decimal`."""
    say("")
    say("How these figures come about:")
    for figure in dict.fromkeys(figures):
        says = _DECIMALS.sub(lambda number: with_mark(number[0], decimal), f"{figure.figure}: {figure.formula}")
        say(f"  {says}. Source: {figure.source}.")


def as_documents(figures: Iterable[Explained]) -> list[dict[str, Any]]:
    """The same for a JSON document."""
    return [figure._asdict() for figure in dict.fromkeys(figures)]
