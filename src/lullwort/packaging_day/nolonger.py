"""That a beer which was proved to have ended, as of an earlier time, is not any more by what is known since."""

from __future__ import annotations

from lullwort.detector import Judged, Units

__all__ = ["no_longer_says"]


def no_longer_says(now: Judged, units: Units) -> str:
    """What is to be done by all that is known `now`."""
    return (
        f"That is no longer so: as of {units.moment(now.as_of_us)} it is {now.verdict}. Prime and seal nothing by what "
        "was known before."
    )
