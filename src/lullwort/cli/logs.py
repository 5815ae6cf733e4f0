"""Log files read for judging: all their readings by vessel, and what had to be set aside."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import click

from lullwort.analysis import vessel_readings
from lullwort.collector import CsvOptions, Log, open_csv
from lullwort.records import SetAside, VesselReadings

__all__ = ["Logs", "read_logs", "tell_remarks", "tell_set_aside"]

_SHOWN = 10


class Logs(NamedTuple):
    """Readings by vessel, all rows set aside, and how many of those stood in the logs that each vessel is in."""

    readings: dict[str, VesselReadings]
    set_aside: list[SetAside]
    set_aside_beside: dict[str, int]


def read_logs(paths: Iterable[Path], options: CsvOptions) -> Logs:
    """Read whole files. Raises SourceError for one that cannot be read at all."""
    parts: dict[str, list[VesselReadings]] = {}
    set_aside: list[SetAside] = []
    beside: dict[str, int] = {}
    for path in paths:
        before = len(set_aside)
        vessels: set[str] = set()
        with open_csv(path, options) as log:
            tell_remarks(log)
            for block, aside in log.blocks():
                set_aside += aside
                vessels.update(block.vessels)
                for vessel, part in vessel_readings(block).items():
                    parts.setdefault(vessel, []).append(part)
        for vessel in vessels:
            beside[vessel] = beside.get(vessel, 0) + len(set_aside) - before
    readings = {vessel: VesselReadings.joined(parts.pop(vessel)) for vessel in list(parts)}
    return Logs(readings, set_aside, beside)


def tell_remarks(log: Log) -> None:
    """Say on standard error what is worth knowing about a file."""
    for remark in log.remarks:
        click.echo(f"{log.path}: {remark}", err=True)


def tell_set_aside(set_aside: list[SetAside]) -> None:
    """Name the rows that were set aside, the first few in full, on standard error."""
    if not set_aside:
        return
    click.echo(f"{len(set_aside)} rows set aside:", err=True)
    for row in set_aside[:_SHOWN]:
        click.echo(f"  {row}", err=True)
    if len(set_aside) > _SHOWN:
        click.echo(f"  and {len(set_aside) - _SHOWN} more", err=True)
    click.echo(
        "How a log is read is stated with --log-gravity, --log-temperature, --decimal-comma, --zone and --vessel.",
        err=True,
    )
