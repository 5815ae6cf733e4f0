"""That a beer which was proved to have ended, as of an earlier time, is not any more by what is known since."""

from __future__ import annotations

from lullwort.detector import Judged, Units

__all__ = ["no_longer_says", "was_proved"]


def was_proved(judged: Judged) -> bool:
    """Whether a batch may be packaged, or might be when it was."""
    if judged.verdict == "packaged":
        return len(judged.history) > 1 and judged.history[-2].verdict == "ready"
    return judged.verdict == "ready"


def no_longer_says(now: Judged, units: Units) -> str:
    """What is to be done by all that is known `now`."""
    return (
        f"That is no longer so: as of {units.moment(now.as_of_us)} it is {now.verdict}. Prime and seal nothing by what "
        "was known before."
    )
