"""How much priming brings a batch to a target, and within what that will come."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from lullwort.errors import OutOfRangeError
from lullwort.explained import COMMON_PRACTICE, OURS, Explained
from lullwort.packaging_day.containers import Limit
from lullwort.packaging_day.held import Held
from lullwort.packaging_day.moved import Moved
from lullwort.packaging_day.pointsgas import points_g_l, points_most_g_l
from lullwort.packaging_day.uncertain import SPREAD, Error, Estimate, ranges
from lullwort.science import (
    BEER_TAKES_UP_LEAST,
    PRIMING_EXPLAINED,
    SOLUTIONS_EXPLAINED,
    YEAST_KEEPS,
    PrimedWith,
    carbonation_g_l,
    made_up_to,
    priming_g,
    syrup_g,
)

__all__ = [
    "PRIMING_FOR_EXPLAINED",
    "SYRUP_EXPLAINED",
    "USUAL_TARGETS",
    "Priming",
    "Syrup",
    "carbonation_of",
    "priming_for",
    "syrup_for",
]

USUAL_TARGETS = (
    ("British ales", 3.0, 4.3),
    ("most ales, lagers, porters and stouts", 4.3, 5.3),
    ("strong Belgian ales", 4.7, 6.9),
    ("wheat beers", 6.1, 7.9),
)
"""By style, from and to [g CO2/L]. Common practice, no source."""

_WEIGHT_SHARE = 0.01
# Standard deviation of a kitchen scale. Common practice, no source.

PRIMING_FOR_EXPLAINED = (
    *PRIMING_EXPLAINED,
    Explained(
        "a point that has yet to fall",
        "1 point is about 0.25 °P, of which 0.8192 is real extract, and 0.9565 g of carbon dioxide come from 2.0665 g "
        "of it: about 0.97 g/L, half a volume",
        "Balling1865",
    ),
    Explained("a volume", "1.977 g/L: carbon dioxide as the real gas that it is at 0 °C and 1 atm", "SpanWagner1996"),
    Explained("usual losses", "a tenth of what is in the vessel, at most 1.9 L", COMMON_PRACTICE),
    Explained("usual targets by style", "what beers of a style are sold with", COMMON_PRACTICE),
    Explained(
        "to which it will come",
        "9 in 10: volume, weight, what the beer holds (5 % less in beer than in water; at most as told), what has yet "
        "to ferment (none; at most as told, with no yeast grown), the share that ferments, and a tenth that growing "
        "yeast may keep, each go to either end by themselves, and what that moves adds up in squares; all the gas is "
        "counted, of which a twentieth gathers under the cap at 20 °C",
        OURS,
    ),
)
SYRUP_EXPLAINED = SOLUTIONS_EXPLAINED[0]


class Priming(NamedTuple):
    """So much of `kind` [g], dissolved in `water_l` [L], in so much beer, and to what that brings it [g CO2/L].

    `low_g_l` and `high_g_l` hold it in 9 of 10 cases. `fills_l` [L] is beer and priming together.
    """

    kind: PrimedWith
    grams: float
    water_l: float
    low_g_l: float
    comes_to_g_l: float
    high_g_l: float
    fills_l: float

    @property
    def volume_l(self) -> float:
        """[L] Of the priming itself, as reserved wort is measured."""
        return self.grams * self.kind.l_per_g

    def grams_in(self, bottle_l: float) -> float:
        """[g] Of it that belongs into a bottle of so much [L]."""
        return self.grams * bottle_l / self.fills_l

    def may_exceed(self, limit: Limit) -> bool:
        """Whether the upper end is more than `limit` takes: where the target is not, it is told with a caution."""
        return self.high_g_l > limit.most_g_l


class Syrup(NamedTuple):
    """Priming filled up with water to `volume_l` [L], for which `water_g` [g] are needed."""

    priming: Priming
    volume_l: float
    water_g: float

    def l_in(self, bottle_l: float) -> float:
        """[L] Of the syrup that belongs into a bottle of so much [L]."""
        return self.volume_l * bottle_l / self.priming.fills_l


def priming_for(
    kind: PrimedWith, moved: Moved, held: Held, left: tuple[float, float], target_g_l: float, water_l: float = 0.0
) -> Priming:
    """What brings the beer to `target_g_l` [g CO2/L] once the points still to fall have fallen, too.

    Args:    left: [points] still to fall, about and at most; the first counts towards the target.
             water_l: [L] that it is dissolved in, 0 or more.
    Returns: 0 g where that comes to the target without priming, or beyond it.
    Raises:  OutOfRangeError as `priming_g`, and for a volume of nothing.
    """
    grams = priming_g(kind, moved.volume_l, held.about + points_g_l(left[0]), target_g_l, water_l)
    return _priming(kind, grams, moved, held, left, water_l)


def syrup_for(
    kind: PrimedWith, moved: Moved, held: Held, left: tuple[float, float], target_g_l: float, syrup_l: float
) -> Syrup:
    """The same filled up with water to `syrup_l` [L], above 0, which is poured into the bottles.

    Raises: OutOfRangeError, too, where so much does not dissolve well in so little.
    """
    grams = syrup_g(kind, moved.volume_l, held.about + points_g_l(left[0]), target_g_l, syrup_l)
    extract_g = kind.extract * grams
    water_g = made_up_to(extract_g, syrup_l).water_g - (grams - extract_g)
    water_l = syrup_l - grams * kind.l_per_g
    return Syrup(_priming(kind, grams, moved, held, left, water_l), syrup_l, max(0.0, water_g))


def carbonation_of(
    kind: PrimedWith, grams: float, moved: Moved, held: Held, left: tuple[float, float], water_l: float = 0.0
) -> Estimate:
    """[g CO2/L] To which so much priming brings the beer, with its range; arguments as of `priming_for`.

    Raises: OutOfRangeError as `carbonation_g_l`.
    """

    def comes_to(moves: Sequence[float]) -> Mapping[str, float]:
        volume, weight, more_held, in_beer, points, share, grown = moves
        holds = held.about + max(more_held, 0.0) * (held.at_most - held.about)
        holds *= 1.0 + (1.0 - BEER_TAKES_UP_LEAST) * min(in_beer, 0.0)
        of_points = points_g_l(left[0])
        of_points += points * (points_most_g_l(left[1]) - of_points if points > 0.0 else of_points)
        co2 = (kind.co2 + share * SPREAD * kind.co2_sd) * (1.0 + YEAST_KEEPS * min(grown, 0.0))
        volume_l = max(moved.volume_l + volume * SPREAD * moved.sd_l, 0.1 * moved.volume_l)
        made_of = kind._replace(co2=co2)
        mass_g = grams * (1.0 + weight * SPREAD * _WEIGHT_SHARE)
        return {"g_l": carbonation_g_l(made_of, mass_g, volume_l, holds + of_points, water_l)}

    # Each thing that may be wrong is a number that goes from -1 to 1 over its 90 %.
    errors = [Error(1.0 / SPREAD, (i,)) for i in range(7)]
    told = ranges(comes_to, (0.0,) * 7, errors)["g_l"]
    return told._replace(low=max(0.0, told.low))


def _priming(
    kind: PrimedWith, grams: float, moved: Moved, held: Held, left: tuple[float, float], water_l: float
) -> Priming:
    if moved.volume_l <= 0.0:
        raise OutOfRangeError("volume_l", moved.volume_l, "more than nothing", source="stoichiometry")
    value, low, high = carbonation_of(kind, grams, moved, held, left, water_l)
    fills_l = moved.volume_l + water_l + grams * kind.l_per_g
    return Priming(kind, grams, water_l, low, value, high, fills_l)
