"""Sources of readings and of what is entered about batches: decoded, checked, and set aside where bad."""

from __future__ import annotations

from lullwort.collector.batchcheck import checked_batch, checked_event
from lullwort.collector.batchesfile import read_batches_file
from lullwort.collector.csvlog import CsvLog, open_csv
from lullwort.collector.csvoptions import CsvOptions
from lullwort.collector.log import Log

__all__ = ["CsvLog", "CsvOptions", "Log", "checked_batch", "checked_event", "open_csv", "read_batches_file"]
