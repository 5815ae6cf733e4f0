"""From hourly trend and the brewer's entries to one of nine verdicts, with the evidence behind it. Pure."""

from __future__ import annotations

from lullwort.detector.advice import MAY_BE_PACKAGED, PACKAGED_UNPROVED, PRESSED, advice
from lullwort.detector.batchjudge import BatchJudge, Change
from lullwort.detector.brewerunits import ShownGravity, Units, value_range
from lullwort.detector.drifting import drift_sds
from lullwort.detector.expected import ExpectedEnd, expected_end
from lullwort.detector.explaining import verdict_explained
from lullwort.detector.floating import PRESSURE_POINTS
from lullwort.detector.handseen import ByHand, NextSample, OddSample
from lullwort.detector.handwords import openings, two_day_rule
from lullwort.detector.ifsealed import IfSealed, if_sealed
from lullwort.detector.judge import Judged, done_to_us, judge, judged_so_far, judging
from lullwort.detector.leftwords import left_to_fall, still_to_fall
from lullwort.detector.live import LiveJudge
from lullwort.detector.mattering import why_it_matters
from lullwort.detector.measuring import Figures, check_figures
from lullwort.detector.notedsince import BEGUN_ANEW, NotedSince, noted_since
from lullwort.detector.offset import UNKNOWN_SD
from lullwort.detector.shifts import Former, Shift
from lullwort.detector.snapshot import CHECKS, VERDICTS, AtRest, CheckName, Snapshot, Split, Verdict
from lullwort.detector.startlevel import StartLevel
from lullwort.detector.turned import checks_turned
from lullwort.detector.turning import changes_when, check_changes_when
from lullwort.detector.wording import Check, evidence, reason, sureness, why_passed_over

__all__ = [
    "BEGUN_ANEW",
    "CHECKS",
    "MAY_BE_PACKAGED",
    "PACKAGED_UNPROVED",
    "PRESSED",
    "PRESSURE_POINTS",
    "UNKNOWN_SD",
    "VERDICTS",
    "AtRest",
    "BatchJudge",
    "ByHand",
    "Change",
    "Check",
    "CheckName",
    "ExpectedEnd",
    "Figures",
    "Former",
    "IfSealed",
    "Judged",
    "LiveJudge",
    "NextSample",
    "NotedSince",
    "OddSample",
    "Shift",
    "ShownGravity",
    "Snapshot",
    "Split",
    "StartLevel",
    "Units",
    "Verdict",
    "advice",
    "changes_when",
    "check_changes_when",
    "check_figures",
    "checks_turned",
    "done_to_us",
    "drift_sds",
    "evidence",
    "expected_end",
    "if_sealed",
    "judge",
    "judged_so_far",
    "judging",
    "left_to_fall",
    "noted_since",
    "openings",
    "reason",
    "still_to_fall",
    "sureness",
    "two_day_rule",
    "value_range",
    "verdict_explained",
    "why_it_matters",
    "why_passed_over",
]
