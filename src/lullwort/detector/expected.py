"""Where this beer should end, as a range, from the best source there is."""

from __future__ import annotations

from typing import Literal

import msgspec

from lullwort.records import Batch

__all__ = ["ExpectedEnd", "expected_end"]

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


def expected_end(batch: Batch, original: float) -> ExpectedEnd:
    """The expected end of `batch`, forced test first, then recipe, then attenuation, then yeast in general.

    Args:
        original: [points] original gravity, additions included; from the sensor's own start where not measured.
    """
    if batch.forced_test_gravity is not None:
        points = (batch.forced_test_gravity - 1.0) * 1000.0
        return _range("forced test", points, points)
    if batch.expected_final_gravity is not None:
        low, high = batch.expected_final_gravity
        return _range("recipe", (low - 1.0) * 1000.0, (high - 1.0) * 1000.0)
    source: Source = "yeast in general" if batch.expected_attenuation is None else "attenuation"
    least, most = batch.expected_attenuation or _USUAL_ATTENUATION
    return _range(source, original * (1.0 - most), original * (1.0 - least))


def _range(source: Source, low: float, high: float) -> ExpectedEnd:
    return ExpectedEnd(low, high, source, _MARGIN_POINTS[source])
