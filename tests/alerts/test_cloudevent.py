"""The event that shows a verdict to programs."""

from __future__ import annotations

import json

from lullwort.alerts import verdict_event
from lullwort.detector import changes_when, judge
from lullwort.records import VesselReadings
from lullwort.rehearsal import invent


def test_the_event_of_a_verdict_says_why_and_what_would_change_it_and_stays_small() -> None:
    of = invent("plain ale", 6)
    judged = judge(of.batch, VesselReadings.of(of.readings))
    text = verdict_event(judged, "lullwort")
    data = json.loads(text)["data"]
    assert list(data) == ["vessel", "batch", "verdict", "reason", "changes_when", "as_of", "hours_to_go", "ready_at"]
    assert data["changes_when"] == changes_when("ready", judged.now)
    assert len(text) < 2_000  # a broker keeps one for each vessel, and small boards read it
