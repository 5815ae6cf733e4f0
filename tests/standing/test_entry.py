"""What is to be done next with a batch on record."""

from __future__ import annotations

import re
from pathlib import Path

from lullwort.cellarbook import Intake, open_book
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.detector import Units
from lullwort.records import COMMON_UNITS, HOUR_US
from lullwort.rehearsal import Invented, invent
from lullwort.standing import judge_book


def next_says(path: Path, ale: Invented, knocked_us: int) -> str:
    """Of an ale whose float reads 5 points less since it was knocked."""
    builder = BlockBuilder(COMMON_UNITS)
    for each in ale.readings:
        if each.gravity is not None and each.temperature_c is not None:
            gravity = each.gravity - 0.005 * (each.at_us >= knocked_us)
            builder.add(each.sensor, each.vessel, each.at_us, [gravity, each.temperature_c, *[float("nan")] * 3], 0)
    with open_book(path) as book:
        run = book.imports.begin(Intake("broker", "somewhere", "00" * 32, open_ended=True), 1)
        run.store(builder.build())
        run.commit()
        book.batches.put(ale.batch)
        (entry,) = judge_book(book, None, None, now_us=ale.newest_us)
    assert entry.judged is not None
    assert entry.judged.verdict == "ready"
    return entry.next_says(Units(zone="UTC"))


def test_a_yes_after_a_step_down_says_at_which_gravity_the_beer_may_stand(tmp_path: Path) -> None:
    ale = invent("plain ale", 1)
    says = next_says(tmp_path / "knocked.book", ale, ale.batch.pitched_us + 200 * HOUR_US)
    assert re.match(
        r"The sensor stepped down by [45]\.\d points, .*, the beer stands higher by as much, at 1\.0\d+\. ", says
    )
    assert "degassed hand reading" in says
    assert next_says(tmp_path / "still.book", ale, ale.newest_us + 1).startswith("Before sealing")
