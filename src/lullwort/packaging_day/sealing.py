"""What a bottle sealed today would come to, kept cold to warm, beside what it bears."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.errors import OutOfRangeError
from lullwort.explained import COMMON_PRACTICE, OURS, Explained
from lullwort.packaging_day.containers import LIMIT_EXPLAINED, ROOM_C, Limit
from lullwort.packaging_day.held import Held
from lullwort.packaging_day.pointsgas import points_g_l, points_most_g_l
from lullwort.science import BEER_TAKES_UP_LEAST, HEADSPACE_SHARE, sealed, solve_increasing
from lullwort.units import co2_volumes_from_g_l

__all__ = ["SEALING_EXPLAINED", "SEALING_TEMPS_C", "AtTemp", "Sealing", "sealing_of"]

SEALING_TEMPS_C = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)
"""[°C] From a cold cellar to a car in the sun."""

_BEYOND_ALL_BAR = 15.0
# No beer bottle holds that, and the sums understate what is higher still. Common practice, no source.


class AtTemp(NamedTuple):
    """[bar, gauge] In a bottle kept at `temp_c` [°C], never below 0: about, at most, and by how much the limit lies
    above the latter (less than 0 where it is exceeded)."""

    temp_c: float
    about_bar: float
    at_most_bar: float
    margin_bar: float

    @property
    def exceeds(self) -> bool:
        """Whether the limit may be exceeded."""
        return self.margin_bar < 0.0


class Sealing(NamedTuple):
    """A bottle closed today, once all that is left and all that was added has fermented in it.

    Attributes:
        about_g_l, at_most_g_l: [g CO2/L of beer] that is then in it.
        limit: what it bears.
        at: each of `SEALING_TEMPS_C`, cold to warm.
        holds_to_c: [°C] up to which the bound stays within the limit, at most 40; None where not even at 5.
        assumed_c: [°C] that was taken for the beer's temperature where nobody knows it; see `Today`.
    """

    about_g_l: float
    at_most_g_l: float
    limit: Limit
    at: tuple[AtTemp, ...]
    holds_to_c: float | None
    assumed_c: float | None = None

    @property
    def at_room(self) -> AtTemp:
        """At `ROOM_C`."""
        return next(row for row in self.at if row.temp_c == ROOM_C)

    @property
    def beyond_all(self) -> bool:
        """Whether no bottle for beer holds the bound."""
        return self.at_room.at_most_bar > _BEYOND_ALL_BAR


def sealing_of(held: Held, left: tuple[float, float], added: tuple[float, float], limit: Limit) -> Sealing | None:
    """What comes of beer that holds so much, has so much left [points], and to which so much gas is added [g/L].

    Of each pair the first is about and the second at most. The bound takes no yeast to grow on the points left, and
    beer to dissolve 5 % less than water; where the limit was stated it counts the air that was shut in, and a
    headspace of 3 %.

    Returns: None beyond the range of the formulas: far more than any bottle holds.

    >>> from lullwort.packaging_day import held_at, limit_of
    >>> bottle = sealing_of(held_at(20.0), (0.2, 1.0), (3.0, 3.0), limit_of("brown-glass"))
    >>> round(bottle.at_most_g_l, 1), round(bottle.at_room.at_most_bar, 1), round(bottle.holds_to_c)
    (5.8, 2.5, 19)
    """
    try:
        about = _Closed(held.about + added[0], left[0], True)
        at_most = _Closed(held.at_most + added[1], left[1], False)
        rows = tuple(_row(about, at_most, limit, temp_c) for temp_c in SEALING_TEMPS_C)
        return Sealing(about.g_l, at_most.g_l, limit, rows, _holds_to_c(at_most, limit))
    except OutOfRangeError:
        return None


class _Closed(NamedTuple):
    """[g/L] In the beer with what is added, points that will still fall, and whether yeast grows on them."""

    start_g_l: float
    points: float
    yeast_grows: bool

    @property
    def g_l(self) -> float:
        return self.start_g_l + (points_g_l if self.yeast_grows else points_most_g_l)(self.points)

    def bar(
        self, temp_c: float, takes_up: float = 1.0, headspace_share: float = HEADSPACE_SHARE, *, air: bool = False
    ) -> float:
        return sealed(
            self.points, temp_c, co2_volumes_from_g_l(self.start_g_l), takes_up=takes_up, air_in_headspace=air,
            headspace_share=headspace_share, yeast_grows=self.yeast_grows,
        ).gauge_bar  # fmt: skip


def _row(about: _Closed, at_most: _Closed, limit: Limit, temp_c: float) -> AtTemp:
    most_bar = max(0.0, _bound_bar(at_most, limit, temp_c))
    return AtTemp(temp_c, max(0.0, about.bar(temp_c)), most_bar, limit.bar - most_bar)


def _bound_bar(at_most: _Closed, limit: Limit, temp_c: float) -> float:
    return at_most.bar(temp_c, BEER_TAKES_UP_LEAST, limit.headspace_share, air=limit.stated)


def _holds_to_c(at_most: _Closed, limit: Limit) -> float | None:
    def over(temp_c: float) -> float:
        return max(0.0, _bound_bar(at_most, limit, temp_c)) - limit.bar

    coldest, warmest = SEALING_TEMPS_C[0], SEALING_TEMPS_C[-1]
    if over(coldest) > 0.0:
        return None
    if over(warmest) <= 0.0:
        return warmest
    return float(solve_increasing(over, coldest, warmest, tolerance=1e-4))


SEALING_EXPLAINED = (
    Explained(
        "carbon dioxide in the beer now",
        "what water holds under 1 atm in all, less its vapour, at the warmest since activity ended; a volume is 1.977 "
        "g/L (the real gas at 0 °C and 1 atm)",
        "Weiss1974 (solubility, from memory)",
    ),
    Explained(
        "carbon dioxide of the points left",
        "0.9565 g from 2.0665 g of extract, of which growing yeast keeps a tenth: at most 1 / 0.9 of that, for in a "
        "bottle hardly any grows; apparent extract x 0.8192 is real extract",
        "Balling1865 (stoichiometry)",
    ),
    Explained(
        "carbon dioxide of the priming",
        "to a target: what is missing once the points left have fallen; of a weight: that x grams of gas a gram / "
        "volume moved",
        f"stoichiometry, and Balling1865 for wort; shares of malt extract and honey: {COMMON_PRACTICE}",
    ),
    Explained(
        "pressure",
        "the gas shares itself between beer and a headspace of 5 % of it, into which warm beer expands; it dissolves "
        "by its fugacity, less what its pressure drives out; water vapour counts. Beyond 20 bar it is understated",
        "Weiss1974 (from memory), Tanaka2001 (water)",
    ),
    Explained(
        "at most",
        "the bound on the points left, on which no yeast grows, and on the priming, in beer that takes up 5 % less "
        "than water; where a container's own limit was stated, with a headspace of 3 % and the air that was shut in, "
        "about 1 bar. A kind's limit is quoted in volumes, of bottles filled as usual with their air: so they are on "
        "both sides",
        f"SpeersMacIntosh2013 (5 %); headspace: {COMMON_PRACTICE}; {OURS}",
    ),
    LIMIT_EXPLAINED,
    Explained("up to which temperature", "where `at most` meets the limit; rounded down, and 40 °C at most", OURS),
)
