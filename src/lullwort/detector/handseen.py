"""What hand samples say of a batch at one moment: numbers only, from which words are made later."""

from __future__ import annotations

import msgspec

__all__ = ["ByHand", "NextSample", "OddSample"]


class NextSample(msgspec.Struct, frozen=True):
    """From `from_us` [µs] on a sample is worth an opening.

    Attributes:
        chance: that it tells what it is drawn for.
        proves: whether that is the end of the beer, with what was drawn before; else it is the first of two.
        low, high: [points] between which it should then stand, in eight of ten cases.
    """

    from_us: int
    chance: float
    proves: bool
    low: float
    high: float


class OddSample(msgspec.Struct, frozen=True):
    """A sample of `points` drawn at `at_us` [µs] that the others contradict."""

    at_us: int
    points: float


class ByHand(msgspec.Struct, frozen=True, kw_only=True):
    """What the hand samples of a batch say; gravities in points, times in µs.

    Attributes:
        passed: per check of CHECKS, in their order, whether it holds.
        gravity, gravity_sd: of the beer, by the samples that agree.
        left, left_upper: still to fall, and what it exceeds only with the chance that the caution leaves.
        main_fall: whether more than a quarter of the fall is still to come.
        samples: drawn since the pitch, each an opening of the vessel; others: further openings that were noted.
        last_us: when the newest was drawn that counts; first_us: the earlier one with which it is compared, None while
            there is none.
        newest_us, newest: the newest sample, whether it counts or not.
        tried: how many samples that comparison rests on.
        apart_h: [h] between its first and last, those too cold for the yeast left out.
        fell, fell_sd: from the first to the last, and the standard deviation that reading them gives it.
        moved, moved_upper: that fall as one over the hold window; with its uncertainty.
        odd: samples that are left out, for the others contradict them.
        doubted: whether the newest is one of them or may be, so that one more must tell.
        temp_c: [°C] of the beer, None where not known; cold: whether that is too cold for its yeast;
            noted_cold: whether it counts as cold for a noted crash alone.
        temp_by_sample: whether a sample had that when it was read, which may have grown warmer in its jar.
        beer_c: [°C] by the log or an entry alone; None where neither tells it.
        restarted_us, restarted_by, needed_h: since when, and by what, the proof runs, and how long it takes.
        two_day_rule: what the trade's rule makes of the last two, finished or not; None where it says nothing yet.
        next: the next sample that is worth an opening; None where none is asked for.
    """

    passed: tuple[bool, ...]
    gravity: float
    gravity_sd: float
    left: float
    left_upper: float
    main_fall: bool
    samples: int
    others: int
    last_us: int
    newest_us: int
    newest: float
    first_us: int | None
    tried: int
    apart_h: float
    fell: float
    fell_sd: float
    moved: float
    moved_upper: float
    odd: tuple[OddSample, ...]
    doubted: bool
    temp_c: float | None
    temp_by_sample: bool
    beer_c: float | None
    cold: bool
    noted_cold: bool
    restarted_us: int
    restarted_by: str
    needed_h: int
    two_day_rule: bool | None
    next: NextSample | None
