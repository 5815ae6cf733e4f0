"""Which checks turned between one change of a verdict and the next."""

from __future__ import annotations

from lullwort.detector.snapshot import CHECKS, Snapshot

__all__ = ["checks_turned"]


def checks_turned(before: Snapshot | None, after: Snapshot) -> str:
    """In words.

    Args:    before: None before the first change, when none held.
    """
    held = set() if before is None else {name for name in CHECKS if before.passed[name]}
    holding = {name for name in CHECKS if after.passed[name]}
    gained = [name for name in CHECKS if name in holding - held]
    lost = [name for name in CHECKS if name in held - holding]
    said = [
        f"{'Holds' if len(names) == 1 else 'Hold'} {word}: {', '.join(names)}."
        for word, names in (("now", gained), ("no longer", lost))
        if names
    ]
    return " ".join(said) or "No check has turned."
