"""How the figures of a verdict come about, for whoever asks."""

from __future__ import annotations

from lullwort.detector.snapshot import Snapshot
from lullwort.explained import COMMON_PRACTICE, OURS, Explained

__all__ = ["verdict_explained"]

_LIQUID = (
    "Tabarie (Tabarié's rule), Bubnik1995 (sucrose solutions), OimlR22 (alcohol and water), Tanaka2001 (water), "
    "Balling1865 (what fermentation makes of extract)"
)

_BY_SENSOR = (
    Explained(
        "gravity",
        "median of an hour's readings, corrected for temperature as the liquid that this wort has become: its residue "
        "and its alcohol are each denser or lighter than water as their solutions are at that temperature; then "
        "followed by a bank of Kalman filters; (level - offset) / scale",
        f"{_LIQUID}; filters: {OURS}",
    ),
    Explained(
        "offset and scale of the sensor",
        "reading = offset + scale x gravity, through the measured original gravity and hand samples, each weighed by "
        "what may be wrong with it; scale 1 give or take 3 % before any sample",
        f"{OURS}; 3 %: {COMMON_PRACTICE}",
    ),
    Explained(
        "fall in the hold window",
        "slope x hours of the window, at most with one standard deviation of the slope more",
        OURS,
    ),
    Explained(
        "points left",
        "slope x time constant of the tail, over filters of eight time constants weighed by how well they foretell "
        "each hour; the bound is exceeded with the chance that the caution leaves (1 in 25 by default)",
        OURS,
    ),
    Explained(
        "proving hours",
        "hours that were warm enough, seen and undisturbed since the last disturbance; the yeast's hours count by "
        "temperature, 2.7 times as many for 10 °C warmer",
        f"{OURS}; 2.7: {COMMON_PRACTICE}",
    ),
)
_BY_HAND = (
    Explained(
        "gravity",
        "mean of the samples that stand on a level line, or the newest; each less its instrument's own error, "
        "corrected from the temperature at which it was read as the liquid that this wort has become, the glass "
        "included",
        f"{_LIQUID}, ISO1768 (expansion of the glass)",
    ),
    Explained(
        "fall between samples, and give or take",
        "straight line through the samples, weighed by what reading each leaves unsure: 0.29 of a division and 0.3 "
        "points; what one instrument always reads wrong moves all of them and says nothing of a fall",
        f"least squares; 0.3 points: {COMMON_PRACTICE}",
    ),
    Explained(
        "fall in the hold window",
        "(fall + one standard deviation) x window / hours between the first and the last sample, cold hours left out",
        OURS,
    ),
    Explained(
        "points left, and when the next sample is worth an opening",
        "8192 falls that beers take, drawn from what is entered and from usual paces, weighed by how well the samples "
        "fit them, a sample being wrong altogether with a chance of 1 in 20",
        f"{OURS}; usual paces: {COMMON_PRACTICE}",
    ),
    Explained("two-day rule", "the same reading, within a point, twice at least two days apart", COMMON_PRACTICE),
)
_BOTH = (
    Explained(
        "where it should end",
        "forced ferment test, else the end entered, else original gravity x (1 - attenuation entered), else x 0.15 to "
        "0.35; up to 1 to 4 points above that pass",
        f"{OURS}; 65 to 85 % attenuation: {COMMON_PRACTICE}",
    ),
    Explained(
        "sealed now: volumes and pressure",
        "gas that the beer holds at rest under 1 atm, at the warmest since activity ended, and 0.9565 g for each "
        "2.0665 g of extract that still ferments (apparent extract x 0.8192); a volume is 1.977 g/L; pressure at 20 °C "
        "by the solubility in water, at most by 5 % less; `lullwort sealed --explain` tells more",
        "Balling1865 (stoichiometry), Weiss1974 (solubility, from memory), SpeersMacIntosh2013 (5 %)",
    ),
)


def verdict_explained(seen: Snapshot) -> tuple[Explained, ...]:
    """The figures of a verdict, by a sensor or by hand samples alone."""
    return (*(_BY_SENSOR if seen.hand is None else _BY_HAND), *_BOTH)
