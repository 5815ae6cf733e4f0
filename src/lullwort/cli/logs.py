"""Log files read for judging: all their readings by vessel, and what had to be set aside."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import click

from lullwort.analysis import readings_of
from lullwort.collector import CsvOptions, open_csv
from lullwort.records import Reading, SetAside

__all__ = ["Logs", "read_logs", "tell_set_aside"]

_SHOWN = 10


class Logs(NamedTuple):
    """Readings by vessel, rows set aside, and columns that were not asked for."""

    readings: dict[str, list[Reading]]
    set_aside: list[SetAside]
    rows: int


def read_logs(paths: Iterable[Path], options: CsvOptions) -> Logs:
    """Read whole files. Raises SourceError for one that cannot be read at all."""
    readings: dict[str, list[Reading]] = {}
    set_aside: list[SetAside] = []
    rows = 0
    for path in paths:
        with open_csv(path, options) as log:
            for block, aside in log.blocks():
                rows += len(block) + len(aside)
                set_aside += aside
                for reading in readings_of(block, options.gravity_unit, options.temperature_unit):
                    readings.setdefault(reading.vessel, []).append(reading)
    return Logs(readings, set_aside, rows)


def tell_set_aside(set_aside: list[SetAside]) -> None:
    """Name the rows that were set aside, the first few in full, on standard error."""
    if not set_aside:
        return
    click.echo(f"{len(set_aside)} rows set aside:", err=True)
    for row in set_aside[:_SHOWN]:
        click.echo(f"  {row}", err=True)
    if len(set_aside) > _SHOWN:
        click.echo(f"  and {len(set_aside) - _SHOWN} more", err=True)
