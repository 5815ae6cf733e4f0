"""Sources of readings and of what is entered about batches: decoded, checked, and set aside where bad."""

from __future__ import annotations

from lullwort.collector.entries import checked_batch, checked_event, read_batches_file
from lullwort.collector.log import Log
from lullwort.collector.mapping import OPTIONAL, Mapping, checked_mapping
from lullwort.collector.openlog import open_log, propose_mapping
from lullwort.collector.survey import LogSurvey, VesselSurvey
from lullwort.collector.table import Doubt, Proposal

__all__ = [
    "OPTIONAL",
    "Doubt",
    "Log",
    "LogSurvey",
    "Mapping",
    "Proposal",
    "VesselSurvey",
    "checked_batch",
    "checked_event",
    "checked_mapping",
    "open_log",
    "propose_mapping",
    "read_batches_file",
]
