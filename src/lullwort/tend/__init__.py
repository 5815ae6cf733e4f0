"""The unattended service."""

from __future__ import annotations

from lullwort.tend.boardclock import BoardClock
from lullwort.tend.inbox import Inbox
from lullwort.tend.judging import Judging, VesselClock
from lullwort.tend.keeper import Keeper, Watch
from lullwort.tend.logs import log_to_stderr
from lullwort.tend.routes import Routes
from lullwort.tend.sensorclocks import SensorClocks
from lullwort.tend.service import Service, on_signals
from lullwort.tend.storing import Decoded, Plain, Reader, Storing, Taken, Tally
from lullwort.tend.supervisor import Supervisor
from lullwort.tend.verdictboard import VerdictBoard
from lullwort.tend.watch import CellarWatch

__all__ = [
    "BoardClock",
    "CellarWatch",
    "Decoded",
    "Inbox",
    "Judging",
    "Keeper",
    "Plain",
    "Reader",
    "Routes",
    "SensorClocks",
    "Service",
    "Storing",
    "Supervisor",
    "Taken",
    "Tally",
    "VerdictBoard",
    "VesselClock",
    "Watch",
    "log_to_stderr",
    "on_signals",
]
