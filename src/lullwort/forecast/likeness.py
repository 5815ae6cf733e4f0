"""Whether a batch goes as earlier batches of its recipe did."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple, get_args

from lullwort.forecast.traits import Known, Traits

__all__ = ["TRAITS", "Compared", "Likeness", "TraitName", "likeness"]

TraitName = Literal["lag", "steepest fall", "three quarters", "tail", "end", "ready"]
TRAITS: tuple[TraitName, ...] = get_args(TraitName)

SURE = 0.95
"""How seldom a batch that goes as before is called another: in 1 of 20."""

_OF: dict[TraitName, tuple[str, str | None]] = {
    "lag": ("lag_h", "no_lag_end_h"),
    "steepest fall": ("steepest", None),
    "three quarters": ("gone_h", "not_gone_h"),
    "tail": ("tail_h", None),
    "end": ("end", None),
    "ready": ("ready_h", "not_ready_h"),
}
"""The fields of `Traits`: what is known, and up to when it had not come."""
_SPREAD: dict[TraitName, float] = {
    "lag": 0.20,
    "steepest fall": 0.10,
    "three quarters": 0.10,
    "tail": 0.20,
    "end": 1.0,
    "ready": 0.20,
}
"""What the same recipe with the same yeast differs by from one time to the next, one standard deviation: points for the
end, a share for all else. Common practice, no source."""
_POINTS = ("end",)
_PRIOR_BATCHES = 12.0
# As many as that the ordinary spread counts for, beside what the earlier ones show: few say little about their spread.
_WARMER_K = 1.0


class Compared(NamedTuple):
    """One trait of a batch beside those of earlier ones; all in the trait's unit, see `Traits`.

    Attributes:
        value:     of this batch; where `still_open` it has not come yet, and this is how long it has been awaited.
        least, most: what the earlier ones showed, in so many batches.
        low, high: between which it lies if it goes as they did, all traits together as sure as was asked.
    """

    trait: TraitName
    value: float
    still_open: bool
    least: float
    most: float
    batches: int
    low: float
    high: float

    @property
    def as_before(self) -> bool | None:
        """Whether it goes as they did; None while that is open."""
        if self.still_open:
            return False if self.value > self.high else None
        return self.low <= self.value <= self.high


class Likeness(NamedTuple):
    """A batch beside earlier ones of its recipe.

    Attributes:
        compared: every trait that this batch and an earlier one have, in the order of `TRAITS`.
        runs:     whether this batch has not come to its end yet.
        warmer_k: [K] by which it fermented warmer than they did in the median; 0 where that is no more than usual.
    """

    compared: tuple[Compared, ...]
    runs: bool
    warmer_k: float

    @property
    def different(self) -> tuple[Compared, ...]:
        """The traits in which it does not go as they did."""
        return tuple(one for one in self.compared if one.as_before is False)

    @property
    def as_before(self) -> bool | None:
        """Whether it goes as they did in all that can be compared; None where nothing can."""
        if self.different:
            return False
        return True if any(one.as_before for one in self.compared) else None


def likeness(asked: Traits, earlier: Sequence[Traits], sure: float = SURE) -> Likeness:
    """`asked` beside `earlier` batches of the same recipe.

    Each trait is held against the interval that predicts one more batch: by Student's t about the mean of the earlier
    ones, as wide at least as the sensor and the yeast make it, and widened for several traits at once (by Šidák), so
    that a batch that goes as before is called so with the chance `sure`, 0.5 to 0.999.
    """
    pairs = []
    for trait in TRAITS:
        known, awaited = _OF[trait]
        own: Known | None = getattr(asked, known)
        still_open = own is None
        if own is None and awaited is not None and getattr(asked, awaited) is not None:
            own = Known(getattr(asked, awaited), 0.0)
        theirs: list[Known] = [value for one in earlier if (value := getattr(one, known)) is not None]
        if own is not None and theirs:
            pairs.append((trait, own, still_open, theirs))
    each = sure ** (1.0 / len(pairs)) if pairs else sure
    compared = [
        Compared(
            trait, own.value, still_open, min(k.value for k in theirs), max(k.value for k in theirs), len(theirs),
            *_predicted(trait, own, theirs, each),
        )
        for trait, own, still_open, theirs in pairs
    ]  # fmt: skip
    return Likeness(tuple(compared), asked.not_ready_h is not None, _warmer_k(asked, earlier))


def _predicted(trait: TraitName, own: Known, theirs: Sequence[Known], sure: float) -> tuple[float, float]:
    """Between which one more batch lies with the chance `sure`, seen by the sensor that saw `own`."""
    in_points = trait in _POINTS
    values = [k.value if in_points else math.log(max(k.value, 1.0)) for k in theirs]
    spread = _SPREAD[trait]
    weights = [1.0 / (spread**2 + (k.sd if in_points else k.sd / max(k.value, 1.0)) ** 2) for k in theirs]
    mean = sum(w * v for w, v in zip(weights, values, strict=True)) / sum(weights)
    scatter = sum(w * (v - mean) ** 2 for w, v in zip(weights, values, strict=True))
    freedom = _PRIOR_BATCHES + len(theirs) - 1
    wider = max(1.0, (_PRIOR_BATCHES + scatter) / freedom)
    own_sd = own.sd if in_points else own.sd / max(own.value, 1.0)
    half = _student_t(sure, freedom) * math.sqrt(wider * (spread**2 + own_sd**2 + 1.0 / sum(weights)))
    return (mean - half, mean + half) if in_points else (math.exp(mean - half), math.exp(mean + half))


def _student_t(sure: float, freedom: float) -> float:
    """Which Student's t with this many degrees of freedom stays within, on both sides, with the chance `sure`."""
    # Only now: what only foresees or serves has no need of scipy, which is large.
    from scipy.special import stdtrit

    return float(stdtrit(freedom, 0.5 + 0.5 * sure))


def _warmer_k(asked: Traits, earlier: Sequence[Traits]) -> float:
    temps = sorted(one.temperature_c for one in earlier if one.temperature_c is not None)
    if asked.temperature_c is None or not temps:
        return 0.0
    by_k = asked.temperature_c - 0.5 * (temps[(len(temps) - 1) // 2] + temps[len(temps) // 2])
    return by_k if abs(by_k) >= _WARMER_K else 0.0
