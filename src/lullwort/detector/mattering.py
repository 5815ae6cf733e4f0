"""Why each check behind a verdict matters, to somebody who is about to fill bottles."""

from __future__ import annotations

from lullwort.detector.snapshot import CheckName

__all__ = ["why_it_matters"]

_WHY: dict[CheckName, str] = {
    "flat": (
        "What still falls makes gas in the bottle. A slow fall hides in the noise of any instrument, so stillness has "
        "to last before it counts."
    ),
    "little left": (
        "Beer can look still while its last points take weeks. Each point that falls in a closed bottle adds about "
        "half a volume of carbon dioxide."
    ),
    "where it should be": (
        "Stopped is not finished. A beer that stands too high may wake when it is moved, warmed or bottled, and then "
        "nothing lets the gas out."
    ),
    "warm enough": (
        "Cold yeast rests, however much is left for it: a beer that is still because it is cold proves nothing."
    ),
    "undisturbed": (
        "Hops, sugar, rousing and warming give yeast new work that takes days to show, so the hours count anew after "
        "each of them."
    ),
    "seen": "What nobody saw proves nothing: while no reading comes, the beer may do anything.",
    "believable": (
        "A float that sticks, a deposit on it, or a sample read wrong shows a stillness that is not the beer's."
    ),
}


def why_it_matters(check: CheckName) -> str:
    """In a sentence or two."""
    return _WHY[check]
