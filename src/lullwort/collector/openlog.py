"""A log file of any format, opened for reading."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import msgspec

from lullwort.collector.log import Log
from lullwort.collector.mapping import Mapping
from lullwort.collector.senml import is_senml, open_senml
from lullwort.collector.table import Proposal, head_lines, open_table, opened_lines, propose
from lullwort.errors import UsageError

__all__ = ["open_log", "propose_mapping"]


@contextmanager
def open_log(path: Path, mapping: Mapping) -> Iterator[Log]:
    """The log at `path`, read until the context ends as `mapping` says.

    Raises: SourceError in a sentence if there is none or it cannot be read; UsageError that names the option which
            settles what cannot be told from the file.
    """
    senml = is_senml(path)
    if senml:
        _refuse_what_means_nothing(path, mapping)
    with open_senml(path, mapping) if senml else open_table(path, mapping) as log:
        yield log


def _refuse_what_means_nothing(path: Path, mapping: Mapping) -> None:
    # A zone may come from the settings, where it is meant for other things too.
    plain = msgspec.structs.replace(mapping, vessel=None, zone=None)
    nothing, usual = Mapping(), Mapping().as_readings_file()  # what is usual may be filled in by a proposal
    stated = [
        field
        for field in Mapping.__struct_fields__
        if getattr(plain, field) not in (getattr(nothing, field), getattr(usual, field))
    ]
    if stated:
        raise UsageError(
            f"{path}: is SenML, which states its own names, units and times; for it {', '.join(stated)} "
            f"{'means' if len(stated) == 1 else 'mean'} nothing: leave that out, or read this file apart"
        )


def propose_mapping(path: Path, stated: Mapping) -> Proposal:
    """How the file at `path` could be read, where `stated` leaves something open. Raises as `open_log` does."""
    if is_senml(path):
        _refuse_what_means_nothing(path, stated)
        with open_senml(path, stated):
            found = ("it is SenML, which names its sensors, units and times (UTC) itself",)
            return Proposal(Mapping(vessel=stated.vessel, zone="UTC"), found, (), (), readable=True)
    with opened_lines(path, stated) as source:
        typed = stated.of_typed_columns() if source.kind == "parquet" else stated
        return propose(source, head_lines(source, strict=True), typed)
