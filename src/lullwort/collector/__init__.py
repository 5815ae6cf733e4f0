"""Sources of readings: each sets aside what is no reading; good rows around a bad one stay."""

from __future__ import annotations

from lullwort.collector.csvlog import CsvLog, open_csv
from lullwort.collector.csvoptions import CsvOptions

__all__ = ["CsvLog", "CsvOptions", "open_csv"]
