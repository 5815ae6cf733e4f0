"""From hourly trend and the brewer's entries to one of nine verdicts, with the evidence behind it. Pure."""

from __future__ import annotations

from lullwort.detector.expected import ExpectedEnd, expected_end
from lullwort.detector.judge import BatchJudge, Change, Judged, judge
from lullwort.detector.snapshot import CHECKS, VERDICTS, CheckName, Snapshot, Verdict

__all__ = [
    "CHECKS",
    "VERDICTS",
    "BatchJudge",
    "Change",
    "CheckName",
    "ExpectedEnd",
    "Judged",
    "Snapshot",
    "Verdict",
    "expected_end",
    "judge",
]
