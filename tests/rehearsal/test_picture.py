"""The picture of the trade-off: a dot at the bound of what a method errs, a line down to what was counted."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

from lullwort.rehearsal.outcome import Outcome
from lullwort.rehearsal.picture import trade_off
from lullwort.rehearsal.score import Row, row_of

SVG = "{http://www.w3.org/2000/svg}"


def row(false: int, of: int, delay_h: float | None) -> Row:
    outcome = Outcome(
        kind="ale", seed=1, oracle_h=100.0, declared_h=None, points_left=None, worst_points_left=None, withdrawals=0,
        unclear_h=0.0,
    )  # fmt: skip
    outcomes = [replace(outcome, worst_points_left=3.0 if n < false else 0.0) for n in range(of)]
    return replace(row_of("x", outcomes), median_delay_h=delay_h)


def test_each_method_that_spoke_stands_at_its_share_and_its_hours() -> None:
    rows = {
        "hasty": row(50, 100, 0.0),
        "hasty too": row(49, 100, 1.0),
        "careful": row(0, 100, 80.0),
        "mute": row(0, 100, None),
    }
    root = ElementTree.fromstring(trade_off("a < b", rows))
    (hasty, _, careful) = [(float(c.get("cx", 0)), float(c.get("cy", 0))) for c in root.iter(f"{SVG}circle")]
    assert hasty[0] < careful[0]  # later to the right
    assert hasty[1] < careful[1]  # worse further up
    lines = [line for line in root.iter(f"{SVG}line") if line.get("class") == "bound"]
    assert all(float(line.get("y2", 0)) > float(line.get("y1", 0)) for line in lines)  # what was counted lies below
    labels = {"".join(text.itertext()): float(text.get("y", 0)) for text in root.iter(f"{SVG}text")}
    assert abs(labels["hasty"] - labels["hasty too"]) >= 16.0  # one does not cover the other
    words = {"".join(text.itertext()) for text in root.iter(f"{SVG}text")}
    assert {"hasty", "careful", "a < b"} <= words
    assert "mute" not in words
