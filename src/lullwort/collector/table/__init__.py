"""Logs that are tables: text with delimiters, and Parquet."""

from __future__ import annotations

from lullwort.collector.table.doubts import Doubt
from lullwort.collector.table.proposal import Proposal, propose
from lullwort.collector.table.tablelog import TableLog, head_lines, open_table, opened_lines

__all__ = ["Doubt", "Proposal", "TableLog", "head_lines", "open_table", "opened_lines", "propose"]
