"""How much is left to fall, in words: what rounds to nothing is no measure, and is not told as one."""

from __future__ import annotations

from lullwort.detector.brewerunits import Units

__all__ = ["left_to_fall", "still_to_fall"]


def still_to_fall(about: float, at_most: float, units: Units) -> str:
    """As the beginning of a sentence; [points].

    >>> still_to_fall(0.55, 7.1, Units()), still_to_fall(0.004, 0.25, Units())
    ('About 0.55 points still to fall, at most 7.1 points', 'Hardly anything still to fall, at most 0.25 points')
    """
    some = left_to_fall(about, units)
    head = "Hardly anything" if units.rounds_away(about) else f"About {some}"
    return f"{head} still to fall, at most {units.difference(at_most)}"


def left_to_fall(about: float, units: Units) -> str:
    """The amount alone.

    >>> left_to_fall(0.55, Units()), left_to_fall(0.004, Units(gravity="plato"))
    ('0.55 points', 'hardly anything')
    """
    return "hardly anything" if units.rounds_away(about) else units.difference(about)
