"""What is shown of batches that are judged again and again."""

from __future__ import annotations

from lullwort.detector import Judged, judge
from lullwort.records import HOUR_US, VesselReadings
from lullwort.rehearsal import invent
from lullwort.tend import VerdictBoard


def judged_after(hours: int) -> Judged:
    ale = invent("plain ale", 1)
    until_us = ale.batch.pitched_us + hours * HOUR_US
    return judge(ale.batch, VesselReadings.of([r for r in ale.readings if r.at_us < until_us]), as_of_us=until_us)


def test_another_verdict_is_shown_at_once_and_the_same_one_now_and_then() -> None:
    shown: list[tuple[str, int]] = []
    now_s = 100.0

    def show(judged: Judged) -> bool:
        shown.append((judged.verdict, judged.as_of_us))
        return True

    board = VerdictBoard(show, lambda: now_s)
    falling, later, ready = judged_after(40), judged_after(41), judged_after(300)
    board.see([falling])
    board.see([later])
    assert shown == [("fermenting", falling.as_of_us)]
    board.see([ready])
    assert shown[1:] == [("ready", ready.as_of_us)]
    board.see([judged_after(301)])
    assert len(shown) == 2
    now_s += 10.0
    board.see([])
    assert shown[2:] == [("ready", judged_after(301).as_of_us)]


def test_what_could_not_be_shown_is_shown_later() -> None:
    can, shown = False, []

    def show(judged: Judged) -> bool:
        if can:
            shown.append(judged.verdict)
        return can

    board = VerdictBoard(show)
    board.see([judged_after(40)])
    assert shown == []
    can = True
    board.see([])
    assert shown == ["fermenting"]
