"""Options by which the days of packaging are planned."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from typing import Any

import click

from lullwort.errors import UsageError
from lullwort.packaging_day import CRASH_DAYS, CRASH_DAYS_MOST

__all__ = ["date_options", "day_of"]

_NUMBERS = re.compile(r"(?P<first>[0-9]{1,2})(?P<mark>[./-])(?P<second>[0-9]{1,2})[./-](?P<year>[0-9]{4})")


def date_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """`--crash-days`, None where it is not given, and `--on`."""
    for option in (
        click.option("--on", metavar="DATE", help="The packaging day wished for, as 2026-10-03; planned back from it."),
        click.option(
            "--crash-days", metavar="DAYS", type=click.IntRange(0, CRASH_DAYS_MOST),
            help=f"Days in the cold before packaging, 0 to {CRASH_DAYS_MOST}. Default: {CRASH_DAYS}.",
        ),
    ):  # fmt: skip
        command = option(command)
    return command


def day_of(text: str | None, option: str) -> date | None:
    """A day from `2026-10-03`. Raises UsageError with what was probably meant.

    >>> day_of("2026-10-03", "--on")
    datetime.date(2026, 10, 3)
    """
    if text is None:
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise UsageError(f"{option} is {text!r}, expected a day such as 2026-10-03{_meant(text)}") from None


def _meant(text: str) -> str:
    if "T" in text:
        return f"; {text.partition('T')[0]} was probably meant"
    found = _NUMBERS.fullmatch(text.strip())
    if found is None:
        return ""
    first, second, year = int(found["first"]), int(found["second"]), int(found["year"])
    orders = [(second, first)] if found["mark"] == "." else [(second, first), (first, second)]
    meant = []
    for month, day in orders:
        try:
            meant.append(date(year, month, day).isoformat())
        except ValueError:
            continue
    return f"; {' or '.join(dict.fromkeys(meant))} was probably meant" if meant else ""
