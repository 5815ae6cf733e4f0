"""Where this beer should end, as a range, from the best source there is."""

from __future__ import annotations

import math
from typing import Literal

import msgspec

from lullwort.analysis import HandReading
from lullwort.records import Batch
from lullwort.science import driest_gravity

__all__ = ["ExpectedEnd", "driest_points", "expected_end"]

Source = Literal["forced test", "recipe", "attenuation", "yeast in general"]

_USUAL_ATTENUATION = (0.65, 0.85)
# Ordinary yeast in ordinary wort; styles run from 63 to 97 %. Common practice, no source.

_MARGIN_POINTS: dict[Source, float] = {
    # What the sensor's offset and scale (2 to 5 % of the fall) and the guess itself may add. A forced test leaves
    # only the sensor; the general range is wide already, and a stuck beer must not slip in at its upper end.
    "forced test": 3.0,
    "recipe": 4.0,
    "attenuation": 3.0,
    "yeast in general": 0.0,
}
_LEAST_MARGIN_POINTS = 1.0
# Where ordinary yeast would have gone further: there an entry that is too high would let a stuck beer pass.
_END_OFF = 2.0
# [points] By which a beer may well end lower than was expected.
_STRONG_POINTS, _COVERED_POINTS = 100.0, 200.0
# Original gravity of a wort of which none is known, as high as is common (common practice, no source), and the highest
# that the tables cover.


class ExpectedEnd(msgspec.Struct, frozen=True):
    """Lowest and highest final gravity [points] that fit, where that is from, and how far above still passes."""

    low: float
    high: float
    source: Source
    margin: float

    @property
    def ceiling(self) -> float:
        """[points] Above this the beer is not where it should be."""
        return self.high + self.margin

    def down_to_end(self, gravity: float) -> float:
        """[points] From `gravity` [points] to as low as the beer may well end; infinite where only what yeast generally
        does tells, which is too little to bound what the beer's own tail promises."""
        return math.inf if self.source == "yeast in general" else max(gravity - self.low, _END_OFF)

    def left_from(self, gravity: float) -> tuple[float, float]:
        """[points] Still to fall from `gravity` [points]: to the middle of the range, and at most."""
        about = max(0.0, gravity - 0.5 * (self.low + self.high))
        return about, max(about, gravity - self.low + self.margin)


def driest_points(original: float | None) -> float:
    """[points] Gravity, below that of water, of a wort of this original gravity [points] with no extract left."""
    points = _STRONG_POINTS if original is None else min(max(original, 0.0), _COVERED_POINTS)
    return (driest_gravity(1.0 + points / 1000.0) - 1.0) * 1000.0


def expected_end(batch: Batch, original: float | None, tested: HandReading | None = None) -> ExpectedEnd | None:
    """The expected end of `batch`, forced test first, then recipe, then attenuation, then yeast in general.

    Args:
        original: [points] original gravity, additions included; from the sensor's own start where not measured, None
            where that is not known either.
        tested: the end of a forced test that was noted; outranks the one that was entered.
    Returns: None where no end is given and none follows from the original gravity.
    """
    if tested is not None:
        return _tested(tested)
    if batch.forced_test_gravity is not None:
        points = _points(batch.forced_test_gravity)
        return _up_to(points, points, "forced test", original)
    if batch.expected_final_gravity is not None:
        low, high = batch.expected_final_gravity
        return _up_to(_points(low), _points(high), "recipe", original)
    if original is None:
        return None
    source: Source = "yeast in general" if batch.expected_attenuation is None else "attenuation"
    least, most = batch.expected_attenuation or _USUAL_ATTENUATION
    return _up_to(original * (1.0 - most), original * (1.0 - least), source, original)


def _tested(tested: HandReading) -> ExpectedEnd:
    """A range as wide as one look at the instrument; its own error is in the beer's gravity, too.

    How unsure the test is lets no beer pass that stands higher.
    """
    margin = max(_LEAST_MARGIN_POINTS, _MARGIN_POINTS["forced test"] - tested.read_sd)
    return ExpectedEnd(tested.points - tested.read_sd, tested.points + tested.read_sd, "forced test", margin)


def _up_to(low: float, high: float, source: Source, original: float | None) -> ExpectedEnd:
    margin = _MARGIN_POINTS[source]
    if source != "forced test" and original is not None:
        usual_high = original * (1.0 - _USUAL_ATTENUATION[0])
        margin = min(margin, max(_LEAST_MARGIN_POINTS, usual_high - high))
    return ExpectedEnd(low, high, source, margin)


def _points(gravity: float) -> float:
    return (gravity - 1.0) * 1000.0
