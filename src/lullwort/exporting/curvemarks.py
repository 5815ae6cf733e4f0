"""What lies on a curve: samples, the time in which gravity held still, and what was done, with its words where they
have room."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from lullwort.exporting.batchcurve import SampleMark, Tick
from lullwort.exporting.curveheld import HeldStill
from lullwort.exporting.curvepanel import Axis, Panel
from lullwort.exporting.escaped import escaped

__all__ = ["LANE", "Placed", "event_marks", "held_boxes", "placed", "sample_marks", "samples_joined"]

LANE = 13
"""[px] Height of a line of labels."""
_MOST_LANES = 3
_CHARACTER, _LABEL_GAP = 5.9, 8.0
"""[px] A character of a label is at most about so wide, and labels stand so far apart."""
_DIAMOND = 5.5


class Placed(NamedTuple):
    """A tick with its label, empty where there is no room for one; `lane` is counted from below."""

    x: float
    label: str
    lane: int
    anchor: str


def held_boxes(held: HeldStill, axis: Axis, panel: Panel) -> Iterator[str]:
    """From when to when gravity held still, and between which levels, as far as the axis shows it: a box for each
    stretch that was seen."""
    top, bottom = panel.y(held.high), panel.y(held.low)
    for part in held.parts:
        if part[0] < axis.to_day and part[1] > axis.from_day:
            left, right = (axis.x(min(max(day, axis.from_day), axis.to_day)) for day in part)
            yield (
                f'<rect x="{left:.1f}" y="{top - 3:.1f}" width="{right - left:.1f}" '
                f'height="{bottom - top + 6:.1f}" class="held"/>'
            )


def sample_marks(samples: Iterable[SampleMark], axis: Axis, panel: Panel) -> Iterator[str]:
    """A diamond with its range for each."""
    for mark in samples:
        at_x, at_y = axis.x(mark.day), panel.y(mark.gravity)
        yield (
            f'<line x1="{at_x:.1f}" y1="{panel.y(mark.high):.1f}" x2="{at_x:.1f}" y2="{panel.y(mark.low):.1f}" '
            'class="whisker"/>'
        )
        yield (
            f'<path d="M{at_x:.1f} {at_y - _DIAMOND:.1f}l{_DIAMOND:.1f} {_DIAMOND:.1f} -{_DIAMOND:.1f} '
            f'{_DIAMOND:.1f} -{_DIAMOND:.1f} -{_DIAMOND:.1f}z" class="sample"/>'
        )


def samples_joined(samples: Sequence[SampleMark], axis: Axis, panel: Panel) -> Iterator[str]:
    """A dashed line from one sample to the next, where nothing else tells what lies between."""
    if len(samples) > 1:
        drawn = " ".join(f"{axis.x(mark.day):.1f},{panel.y(mark.gravity):.1f}" for mark in samples)
        yield f'<polyline points="{drawn}" class="smooth guess"/>'


def event_marks(marked: Sequence[Placed], top: float, bottom: float) -> Iterator[str]:
    """Lines first, so that none crosses the words of another."""
    for tick in marked:
        from_y = top - tick.lane * LANE
        yield f'<line x1="{tick.x:.1f}" y1="{from_y:.1f}" x2="{tick.x:.1f}" y2="{bottom:.1f}" class="tick"/>'
    for tick in marked:
        by = 3.0 if tick.anchor == "start" else -3.0
        if tick.label:
            yield (
                f'<text x="{tick.x + by:.1f}" y="{top - tick.lane * LANE - 4:.1f}" text-anchor="{tick.anchor}">'
                f"{escaped(tick.label)}</text>"
            )


def placed(marked: Sequence[Tick], axis: Axis, lanes: int = _MOST_LANES, character: float = _CHARACTER) -> list[Placed]:
    """Each tick in the lowest lane with room for its number and words, or else for its number alone, or for none."""
    free = [axis.left - _LABEL_GAP] * lanes
    found_places = []
    for tick in marked:
        at_x, found = axis.x(tick.day), None
        for label in (f"{tick.mark} {tick.says}".strip(), tick.mark):
            wide = character * len(label) + 3.0
            anchor = "start" if at_x + wide <= axis.right else "end"
            begins = at_x if anchor == "start" else at_x - wide
            lane = next((nth for nth, upto in enumerate(free) if begins >= upto + _LABEL_GAP), None)
            if label and lane is not None and found is None:
                found = Placed(at_x, label, lane, anchor)
                free[lane] = begins + wide
        found_places.append(found or Placed(at_x, "", 0, "start"))
    return found_places
