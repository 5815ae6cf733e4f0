"""What beer may be closed in, and what each bears."""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

from lullwort.explained import COMMON_PRACTICE, Explained
from lullwort.records import ContainerName
from lullwort.science import BEER_TAKES_UP_LEAST, HEADSPACE_LEAST, HEADSPACE_SHARE, sealed, solve_increasing
from lullwort.units import co2_g_l_from_volumes, co2_volumes_from_g_l

__all__ = [
    "CONTAINERS",
    "LIMIT_EXPLAINED",
    "ROOM_C",
    "USUAL_CONTAINER",
    "Container",
    "Limit",
    "limit_bar_from_volumes",
    "limit_bar_of",
    "limit_of",
]

ROOM_C = 20.0
"""[°C] At which one pressure stands for all."""

_MOST_VOLUMES = 10.0
_SAME = 1.0 + 1e-6
# What was typed in volumes comes back from g/L with its last digits changed.


class Container(NamedTuple):
    """A kind of bottle or vessel.

    Attributes:
        name:    as it is chosen.
        called:  several of them, in a sentence.
        volumes: that it bears, filled with beer at 20 °C; None where it must not be closed on beer that ferments.
        up_to_volumes: the upper end of what practice gives; None where it gives one figure only.
        says:    what is meant by it.
        source:  how that is known.
    """

    name: ContainerName
    called: str
    volumes: float | None
    up_to_volumes: float | None
    says: str
    source: str


CONTAINERS = MappingProxyType(
    {
        each.name: each
        for each in (
            Container(
                "brown-glass", "ordinary brown bottles", 3.0, 3.5,
                "ordinary beer bottles of 330 to 500 mL, new or as good as new, undamaged", COMMON_PRACTICE,
            ),
            Container(
                "reused-glass", "bottles used again", 2.5, 3.0,
                "one-way bottles used again, and swing-top bottles", COMMON_PRACTICE,
            ),
            Container(
                "thick-glass", "heavy returnable bottles", 4.0, 4.5,
                "heavy bottles that are made to be filled many times",
                f"{COMMON_PRACTICE}; BS6119 designs multi-trip bottles for 9 g/L, its upper end",
            ),
            Container(
                "sparkling-wine", "sparkling-wine bottles", 6.0, None,
                "sparkling-wine bottles with wired cork, or a crown cap that fits",
                f"{COMMON_PRACTICE}; such bottles are tested to 16 bar",
            ),
            Container(
                "plastic", "plastic bottles", 4.0, None, "plastic bottles made for carbonated drinks",
                f"{COMMON_PRACTICE}; they rupture at about 12 bar",
            ),
            Container(
                "keg", "kegs", 6.0, None, "kegs of steel with a working relief valve; their maker's limit counts first",
                f"{COMMON_PRACTICE}; usually rated for 9 bar, from memory",
            ),
            Container(
                "growler", "growlers", None, None, "jugs for carrying beer home: nothing may ferment in them",
                COMMON_PRACTICE,
            ),
        )
    }
)  # fmt: skip
"""By name; of the range that practice gives for each, the lower end. What a new bottle stands in a test (glass for beer
12 bar, GB 4544) is no limit to use: scratches and years take most of it."""

USUAL_CONTAINER: ContainerName = "brown-glass"

LIMIT_EXPLAINED = Explained(
    "limit of the container",
    "what its maker states; else the lower end of the volumes that practice allows such containers, as the gauge "
    "pressure that those come to at 20 °C, for glass feels the pressure, and volumes say nothing of a warm bottle. "
    "A target is held against a kind's limit volume for volume, against a stated one by the most that it may press: in "
    "beer that takes up 5 % less than water, with a headspace of 3 % and the air that is shut in",
    f"{COMMON_PRACTICE}; BS6119 for multi-trip bottles",
)


class Limit(NamedTuple):
    """What a container bears.

    Attributes:
        container: its kind.
        bar:       [bar, gauge]; 0 where nothing may ferment in it.
        stated:    whether this very container's limit was stated. Then all that presses in it counts, the air that was
                   shut in, too; a kind's limit is what practice has borne with that air in it.
    """

    container: Container
    bar: float
    stated: bool

    @property
    def bears(self) -> bool:
        """Whether anything may ferment in it at all."""
        return self.container.volumes is not None

    @property
    def headspace_share(self) -> float:
        """[1] Of the beer that a bound takes the headspace to have. A kind's limit is quoted in volumes, for bottles
        filled as usual: they are so on both sides. A stated one must bear the fullest."""
        return HEADSPACE_LEAST if self.stated else HEADSPACE_SHARE

    def pressed_by(self, co2_g_l: float, temp_c: float = ROOM_C) -> float:
        """[bar, gauge] That so much gas [g CO2/L] presses with, to be held against `bar`.

        Against a kind's limit, which is quoted in volumes, volume for volume: both are taken as in water. A stated one
        must bear the most of it, with the air that is shut in: what `sealing_of` tells as at most.

        Raises: OutOfRangeError beyond ten volumes and 0 to 40 °C.

        >>> beer, kind = 4.745, limit_of("brown-glass")
        >>> round(kind.pressed_by(beer), 1), round(limit_of("brown-glass", 2.4).pressed_by(beer), 1)
        (1.7, 2.9)
        """
        volumes = co2_volumes_from_g_l(co2_g_l)
        takes_up = BEER_TAKES_UP_LEAST if self.stated else 1.0
        share = self.headspace_share
        return sealed(
            0.0, temp_c, volumes, takes_up=takes_up, air_in_headspace=self.stated, headspace_share=share
        ).gauge_bar

    def takes(self, co2_g_l: float) -> bool:
        """Whether beer may be meant to hold so much [g CO2/L] in it: the one rule for whatever tells priming.

        Raises: OutOfRangeError as `pressed_by`.

        >>> limit_of("brown-glass").takes(3.0 * 1.977), limit_of("brown-glass").takes(3.05 * 1.977)
        (True, False)
        """
        return self.bears and self.pressed_by(co2_g_l) <= self.bar * _SAME

    @property
    def most_g_l(self) -> float:
        """[g CO2/L] The most that it takes, no more than ten volumes.

        >>> round(limit_of("brown-glass").most_g_l, 2)
        5.93
        """

        def over(volumes: float) -> float:
            return self.pressed_by(co2_g_l_from_volumes(volumes)) - self.bar

        if not self.bears or over(0.0) >= 0.0:
            return 0.0
        most = _MOST_VOLUMES
        if over(most) > 0.0:
            most = solve_increasing(over, 0.0, most, tolerance=1e-9)
        return co2_g_l_from_volumes(most)


def limit_of(name: ContainerName | None, stated_bar: float | None = None) -> Limit:
    """Of the kind called so, the usual one where none is named; a stated limit [bar, gauge] outranks the kind's.

    No statement makes a growler something that beer may ferment in.

    >>> limit_of(None).container.name, round(limit_of(None).bar, 1), limit_of("keg", 9.0).bar
    ('brown-glass', 2.4, 9.0)
    """
    container = CONTAINERS[name or USUAL_CONTAINER]
    if stated_bar is None or container.volumes is None:
        return Limit(container, limit_bar_of(container), False)
    return Limit(container, stated_bar, True)


def limit_bar_of(container: Container) -> float:
    """[bar, gauge] That such a container bears, the air in it apart: what the volumes that it bears come to at 20 °C;
    0 where nothing may ferment in it.

    >>> round(limit_bar_of(CONTAINERS["brown-glass"]), 1)
    2.4
    """
    if container.volumes is None:
        return 0.0
    return sealed(0.0, ROOM_C, container.volumes).gauge_bar


def limit_bar_from_volumes(volumes: float) -> float:
    """[bar, gauge] A stated limit that is given in volumes, 0 to 10: what they come to at 20 °C beside the air that is
    shut in with them, by the middle, for more must not be read into it: beer of somewhat less may press so at most.

    >>> round(limit_bar_from_volumes(4.5), 1)
    5.2
    """
    return sealed(0.0, ROOM_C, volumes, air_in_headspace=True).gauge_bar
