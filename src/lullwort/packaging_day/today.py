"""What there is to reckon with if the beer were sealed today; or why no sums can be made of it."""

from __future__ import annotations

from typing import Literal, NamedTuple

from lullwort.detector import IfSealed, Judged, Snapshot, if_sealed
from lullwort.packaging_day.addedgas import NOTHING_ADDED
from lullwort.packaging_day.containers import Limit, limit_of
from lullwort.packaging_day.held import COLDEST_C, Held, held_by
from lullwort.packaging_day.sealing import ROOM_C, Sealing, sealing_of

__all__ = ["FALLS", "Today", "Unsaid", "sealing_now", "today_of"]

FALLS = ("fermenting", "moving again")
"""Verdicts that tell of a fall."""

Unsaid = Literal["", "lag", "lost", "main fall", "gauge", "temperature"]
"""Why there are no sums: nothing has fermented yet, nobody knows what has since, the main fall runs, the sealed
vessel's gauge must tell, or the temperature is not known or beyond the formulas."""


class Today(NamedTuple):
    """What the beer holds, None with the reason `unsaid`, and what would still ferment in it [points].

    `assumed_c` [°C] is told where the beer's temperature is not known, and this one was taken for it; at most then
    counts what beer holds at `COLDEST_C`.
    """

    held: Held | None
    left: IfSealed
    unsaid: Unsaid = ""
    assumed_c: float | None = None


def today_of(judged: Judged, warmest_c: float | None = None, assume_c: float | None = None) -> Today:
    """Of the beer as it was judged.

    Args:    warmest_c: [°C] since its activity ended, as the brewer tells it, instead of the log.
             assume_c: [°C] to take for about where no temperature is known at all; at most is by the coldest.
    """
    now, left = judged.now, if_sealed(judged.now)
    if judged.verdict == "lag":
        return Today(None, left, "lag")
    if now.lost:
        return Today(None, left, "lost")
    if now.main_fall and judged.verdict in FALLS:
        return Today(None, left, "main fall")
    held, assumed_c = held_by(now, warmest_c), None
    if held is None and warmest_c is None and assume_c is not None and not _known(now):
        held, assumed_c = _assumed(now, assume_c), assume_c
    if held is not None:
        return Today(held, left, "", assumed_c)
    return Today(None, left, "temperature" if now.fallen_sealed is None else "gauge")


def sealing_now(judged: Judged, limit: Limit | None = None) -> Sealing | None:
    """Of a bottle closed now with no sugar added, in the batch's own container unless another limit is given.

    None where there is nothing to seal or no sums can be made of it, and where no bottle holds it by far.
    """
    now, day = judged.now, judged.batch.packaging_day
    if now.gravity is None or now.split is not None or judged.verdict == "packaged":
        return None
    today = today_of(judged, assume_c=ROOM_C)
    if today.held is None:
        return None
    sealing = sealing_of(today.held, today.left[:2], NOTHING_ADDED, limit or limit_of(day.container, day.limit_bar))
    return None if sealing is None or sealing.beyond_all else sealing._replace(assumed_c=today.assumed_c)


def _assumed(now: Snapshot, assume_c: float) -> Held | None:
    """About by a temperature that is taken for it; a bound must not hang on that, so at most by the coldest."""
    held, coldest = held_by(now, assume_c), held_by(now, COLDEST_C)
    return None if held is None or coldest is None else held._replace(at_most=max(held.at_most, coldest.at_most))


def _known(now: Snapshot) -> bool:
    return now.beer_c is not None or (now.at_rest is not None and now.at_rest.warmest_c is not None)
