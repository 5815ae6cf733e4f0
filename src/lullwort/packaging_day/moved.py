"""How much beer will be moved off its sediment."""

from __future__ import annotations

from typing import Literal, NamedTuple

from lullwort.explained import COMMON_PRACTICE, Explained
from lullwort.records import Batch

__all__ = ["MOVED_EXPLAINED", "Moved", "moved_of"]

_USUAL_SHARE, _USUAL_MOST_L = 0.10, 1.9
# Of a vessel that is siphoned off once: left on the sediment, in hoses and in samples. Common practice, no source.
_FILLED_SD, _MEASURED_SD, _STATED_LOSS_SD, _USUAL_LOSS_SD = 0.05, 0.02, 0.3, 0.5
# Of bottles filled, as a share of what they hold; of a marked bucket, as a share of it; of losses that were foreseen,
# as a share of them. Common practice, no source.


class Moved(NamedTuple):
    """[L] Beer that is moved, its standard deviation, what stays behind (None where it was measured), and how this is
    known."""

    volume_l: float
    sd_l: float
    losses_l: float | None
    known_by: Literal["measured", "stated losses", "usual losses", "bottles filled"]


def moved_of(batch: Batch) -> Moved | None:
    """By what was measured, else by the volume in the vessel less its losses, else by the bottles filled; None where
    none of them is known.

    Losses of as much as the vessel holds leave nothing.

    >>> moved_of(Batch(vessel="north", name="north-12", pitched_us=0, volume_l=19.0))
    Moved(volume_l=17.1, sd_l=1.02, losses_l=1.9, known_by='usual losses')
    """
    day, volume_l = batch.packaging_day, batch.volume_l
    if day.moved_l is not None:
        return Moved(day.moved_l, _MEASURED_SD * day.moved_l, None, "measured")
    if volume_l is None:
        filled_l = sum(lot.count * lot.volume_l for lot in day.filled)
        return Moved(round(filled_l, 6), _FILLED_SD * filled_l, None, "bottles filled") if filled_l > 0.0 else None
    if day.losses_l is not None:
        return _less(volume_l, day.losses_l, _STATED_LOSS_SD, "stated losses")
    return _less(volume_l, min(_USUAL_SHARE * volume_l, _USUAL_MOST_L), _USUAL_LOSS_SD, "usual losses")


def _less(
    volume_l: float, losses_l: float, loss_sd: float, known_by: Literal["stated losses", "usual losses"]
) -> Moved:
    moved_l = max(0.0, volume_l - losses_l)
    sd_l = ((_MEASURED_SD * volume_l) ** 2 + (loss_sd * losses_l) ** 2) ** 0.5
    return Moved(round(moved_l, 6), round(sd_l, 2), losses_l, known_by)


MOVED_EXPLAINED = Explained(
    "volume moved",
    "as measured (standard deviation 2 %); else the volume in the vessel (2 %) less what stays behind: as stated "
    "(30 %), or a tenth, at most 1.9 L (half of it); else what the bottles hold that were filled (5 %); 9 in 10 lie "
    "within 1.645 standard deviations either way",
    COMMON_PRACTICE,
)
