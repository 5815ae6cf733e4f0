"""What may ferment in a bottle that is sealed now: more than a beer's own tail tells where it stands too high."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.detector.snapshot import Snapshot

__all__ = ["IfSealed", "if_sealed"]


class IfSealed(NamedTuple):
    """Points that would ferment in the bottle: about, and at most.

    `may_wake` where they are counted to where the beer should end, for it stands above that, or its end is not known.
    """

    about: float
    at_most: float
    may_wake: bool


def if_sealed(seen: Snapshot) -> IfSealed:
    """[points] What a bottle sealed now must be expected to bear; nothing before the first usable reading.

    A beer that stands still where it should not be may set off again in the bottle, so that its standing still promises
    nothing there. What was proved, and what was known before the cold, stands.
    """
    if seen.proved_left is not None:
        return IfSealed(*seen.proved_left, False)
    if seen.gravity is None or seen.ready_gravity is not None or seen.chilled is not None:
        return IfSealed(seen.left, seen.left_upper, False)
    if seen.expected is None or seen.must_reach is None:
        return IfSealed(seen.left, seen.fermentable, True)
    if seen.gravity <= seen.must_reach:
        return IfSealed(seen.left, seen.left_upper, False)
    about, at_most = seen.expected.left_from(seen.gravity)
    # What was put in may have to ferment below an end that was entered without it.
    at_most = max(at_most, seen.gravity - seen.must_reach, seen.left_upper)
    return IfSealed(min(max(about, seen.left), seen.fermentable), min(at_most, seen.fermentable), True)
