"""A log read through without keeping anything of it: what `--dry-run` tells."""

from __future__ import annotations

import itertools
from collections.abc import Mapping as Table
from pathlib import Path
from typing import NamedTuple

from lullwort.collector import LogSurvey, Mapping, Proposal, VesselSurvey, open_log, propose_mapping
from lullwort.records import Block, ReportedUnits, SetAside

__all__ = ["FirstRow", "TriedLog", "try_log"]

_ROWS = 5


class FirstRow(NamedTuple):
    """One row as it is understood; values in the log's own units, NaN where it has none."""

    at_us: int
    vessel: str
    sensor: str
    gravity: float
    temperature: float
    units: ReportedUnits


class TriedLog(NamedTuple):
    """How a log would be read, and what that gives; nothing of it where it is not `proposal.readable`.

    Attributes:
        first:     its first rows; where the zone is not stated, as if in UTC.
        set_aside: all rows that are no readings.
    """

    path: Path
    proposal: Proposal
    first: tuple[FirstRow, ...] = ()
    vessels: Table[str, VesselSurvey] = {}
    set_aside: tuple[SetAside, ...] = ()
    remarks: tuple[str, ...] = ()


def try_log(path: Path, stated: Mapping) -> TriedLog:
    """Read the log through as it would be read. Raises as `propose_mapping` and `open_log` do."""
    proposal = propose_mapping(path, stated)
    if not proposal.readable:
        return TriedLog(path, proposal)
    mapping = proposal.mapping
    if mapping.zone is None:
        mapping = mapping.over(Mapping(zone="UTC"))
    survey, first, set_aside = LogSurvey(), list[FirstRow](), list[SetAside]()
    with open_log(path, mapping.as_readings_file()) as log:
        for block, aside in log.blocks():
            survey.add(block)
            first += itertools.islice(_rows(block), _ROWS - len(first))
            set_aside += aside
        return TriedLog(path, proposal, tuple(first), survey.vessels(), tuple(set_aside), log.remarks)


def _rows(block: Block) -> list[FirstRow]:
    return [
        FirstRow(
            int(block.at_us[i]), block.vessels[block.vessel_codes[i]], block.sensors[block.sensor_codes[i]],
            float(block.gravity[i]), float(block.temperature[i]), block.units,
        )
        for i in range(min(_ROWS, len(block)))
    ]  # fmt: skip
