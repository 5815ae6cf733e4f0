"""Falls beside the main one: hop creep, what was added, wild yeast; each family has shapes of its own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from lullwort.rehearsal.family import Family
from lullwort.rehearsal.truth import Floats

__all__ = ["LaterFall", "later_progress"]

LaterKind = Literal["hop creep", "addition", "intruder"]


@dataclass(frozen=True, kw_only=True)
class LaterFall:
    """A fall beside the main one.

    Attributes:
        kind:     "hop creep" frees sugar from what is in the beer already; "addition" brings it along;
                  "intruder" is wild yeast that eats on steadily.
        at_h:     [h since pitch] when it was set going; 0 for an intruder that was in from the start.
        points:   [points] that it takes away in the end.
        delay_h:  [h of yeast time] after `at_h` before the first of it shows.
        tau_h:    [h of yeast time] how long it takes: time constant, for an intruder the whole length.
        unfermentable_points: [points] that an addition leaves in the beer for good.
    """

    kind: LaterKind
    at_h: float
    points: float
    delay_h: float
    tau_h: float
    unfermentable_points: float = 0.0


def later_progress(fall: LaterFall, since_h: Floats, family: Family) -> Floats:
    """Share of a later fall that is gone, `since_h` [h of yeast time] after it began to show."""
    x = np.maximum(since_h, 0.0) / fall.tau_h
    if family == "vigour":
        return _vigour_progress(fall.kind, x)
    if fall.kind == "intruder":
        # steady for most of the way, then running out without a corner
        bend = 0.85
        return np.where(x < bend, x, 1.0 - (1.0 - bend) * np.exp(-np.maximum(x - bend, 0.0) / (1.0 - bend)))
    if family == "uptake":
        return np.asarray(x**2 / (1.0 + x**2), dtype=float)
    return np.asarray(1.0 - (1.0 + x) * np.exp(-x), dtype=float)


def _vigour_progress(kind: LaterKind, x: Floats) -> Floats:
    """The third family's shapes over `x`, in units of the fall's own time."""
    if kind == "intruder":
        # few cells at first; later fewer dextrins, without a corner and never quite at an end
        return np.asarray(1.0 - np.exp(-((x / 0.65) ** 1.4)), dtype=float)
    begun = x**2 / (x + 0.2)  # neither starts with a corner
    if kind == "addition":
        # the crop is there and eats at one speed until it runs short
        return np.asarray(np.tanh(begun / 2.2), dtype=float)
    # dextrins of many lengths are cut at many rates: brewers tell of half in five days and the rest by forty
    return np.asarray(1.0 - (1.0 + begun / 3.0) ** -2.0, dtype=float)
