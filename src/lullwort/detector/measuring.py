"""What each check measured and what that may be, as figures for a ledger; its sentence tells the rest."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.detector.brewerunits import Units
from lullwort.detector.offset import LARGEST_POINTS
from lullwort.detector.snapshot import CheckName, Snapshot

__all__ = ["Figures", "check_figures"]


class Figures(NamedTuple):
    """What was measured, and its limit; empty where there is no such figure."""

    measured: str
    limit: str = ""


def check_figures(check: CheckName, seen: Snapshot, units: Units | None = None) -> Figures:
    """The figures of one check, in the brewer's units."""
    u = units or Units()
    match check:
        case "flat":
            return _flat(seen, u)
        case "little left":
            return Figures("" if seen.level is None else _at_most(seen.left_upper, u), _at_most(seen.left_limit, u))
        case "where it should be":
            limit = "" if seen.must_reach is None else f"at most {u.level(seen.must_reach)}"
            return Figures("" if seen.gravity is None else u.level(seen.gravity), limit)
        case "warm enough":
            temp_c = seen.temp_c if seen.hand is None else seen.hand.temp_c
            return Figures("" if temp_c is None else u.temp(temp_c), f"at least {u.temp(seen.yeast_min_c)}")
        case "undisturbed":
            return _undisturbed(seen)
        case "seen":
            return _seen(seen)
        case "believable":
            return _believable(seen, u)


def _at_most(points: float, u: Units) -> str:
    return f"at most {u.difference(points)}"


def _moving(moved: float, window_h: int, u: Units) -> str:
    if u.rounds_away(moved):
        return f"hardly moves in {window_h} h"
    return f"{'rises' if moved < 0.0 else 'falls'} {u.difference(abs(moved))} in {window_h} h"


def _flat(s: Snapshot, u: Units) -> Figures:
    limit = f"{_at_most(s.moved_limit, u)} in {s.window_h} h"
    if s.hand is not None:
        if s.hand.first_us is None:
            return Figures("", limit)
        at_most = s.hand.moved_upper
    elif s.level is None:
        return Figures("", limit)
    else:
        at_most = s.moved_upper
    return Figures("cannot fall" if at_most < 0.0 else f"falls {_at_most(at_most, u)}", limit)


def _undisturbed(s: Snapshot) -> Figures:
    if s.hand is None:
        return Figures(f"{max(s.counted_h - 1, 0)} h", f"at least {s.needed_h} h")
    stood_h = max(0.0, (s.hand.last_us - s.hand.restarted_us) / 3.6e9)
    return Figures(f"{int(stood_h)} h", f"at least {s.hand.needed_h} h")


def _seen(s: Snapshot) -> Figures:
    if s.hand is not None:
        return Figures("1 sample" if s.hand.tried == 1 else f"{s.hand.tried} samples", "at least 2")
    limit = f"at most {s.unseen_limit_h:.0f} h ago"
    if s.unseen_h is None:
        return Figures("", limit)
    return Figures("within this hour" if s.unseen_h < 1.0 else f"{s.unseen_h:.0f} h ago", limit)


def _believable(s: Snapshot, u: Units) -> Figures:
    if s.hand is not None:
        out = len(s.hand.odd)
        return Figures(f"{out} left out" if out else "samples agree")
    if s.level is None:
        return Figures("")
    if s.split is not None:
        return Figures(f"a step of {u.difference(s.split.least - s.split.low)}")
    if s.disagreement:
        limit = "" if s.disputed_from is None else _at_most(s.disputed_from, u)
        return Figures(f"{u.difference(abs(s.disagreement))} apart", limit)
    if s.start_disagreement:
        return Figures(f"{u.difference(abs(s.start_disagreement))} apart", _at_most(LARGEST_POINTS, u))
    if not s.passed["believable"] and not s.rising:
        return Figures(f"the same for {s.same_h:.0f} h")
    return Figures(_moving(s.moved, s.window_h, u), f"rises {_at_most(s.tolerance, u)}")
