"""What people enter about batches and files, checked key by key."""

from __future__ import annotations

from lullwort.collector.entries.batchcheck import checked_batch, checked_event, refuse_high_test
from lullwort.collector.entries.batchesfile import read_batches_file

__all__ = ["checked_batch", "checked_event", "read_batches_file", "refuse_high_test"]
