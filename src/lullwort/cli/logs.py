"""Log files read for judging: all their readings by vessel, and what had to be set aside."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from lullwort.analysis import vessel_readings
from lullwort.cli.sources import Source, followed, tell_remarks
from lullwort.collector import open_log
from lullwort.records import SetAside, VesselReadings

__all__ = ["Logs", "read_logs"]


class Logs(NamedTuple):
    """Readings by vessel, all rows set aside, and how many of those stood in the logs that each vessel is in."""

    readings: dict[str, VesselReadings]
    set_aside: list[SetAside]
    set_aside_beside: dict[str, int]


def read_logs(sources: Iterable[Source]) -> Logs:
    """Read whole files. Raises SourceError for one that cannot be read at all."""
    parts: dict[str, list[VesselReadings]] = {}
    set_aside: list[SetAside] = []
    beside: dict[str, int] = {}
    for source in sources:
        before = len(set_aside)
        vessels: set[str] = set()
        with open_log(*source) as log:
            for block, aside in followed(log):
                set_aside += aside
                vessels.update(block.vessels)
                for vessel, part in vessel_readings(block).items():
                    parts.setdefault(vessel, []).append(part)
            tell_remarks(log)
        for vessel in vessels:
            beside[vessel] = beside.get(vessel, 0) + len(set_aside) - before
    readings = {vessel: VesselReadings.joined(parts.pop(vessel)) for vessel in list(parts)}
    return Logs(readings, set_aside, beside)
