"""What beer may be closed in, and what each bears."""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

from lullwort.explained import COMMON_PRACTICE, Explained
from lullwort.records import ContainerName
from lullwort.science import sealed
from lullwort.units import co2_volumes_from_g_l

__all__ = [
    "CONTAINERS",
    "LIMIT_EXPLAINED",
    "USUAL_CONTAINER",
    "Container",
    "Limit",
    "limit_bar_from_volumes",
    "limit_bar_of",
    "limit_of",
]

_BORNE_AT_C = 20.0


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
    "pressure that those come to at 20 °C, for glass feels the pressure and volumes alone say nothing of a warm bottle",
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

    def pressed_by(self, co2_g_l: float, temp_c: float = _BORNE_AT_C) -> float:
        """[bar, gauge] That so much gas [g CO2/L] presses with, to be held against `bar`: with air where that counts.

        Raises: OutOfRangeError beyond ten volumes and 0 to 40 °C.

        >>> beer, kind = 4.745, limit_of("brown-glass")
        >>> round(kind.pressed_by(beer), 1), round(limit_of("brown-glass", 2.4).pressed_by(beer), 1)
        (1.7, 2.7)
        """
        return sealed(0.0, temp_c, co2_volumes_from_g_l(co2_g_l), air_in_headspace=self.stated).gauge_bar


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
    return sealed(0.0, _BORNE_AT_C, container.volumes).gauge_bar


def limit_bar_from_volumes(volumes: float) -> float:
    """[bar, gauge] A stated limit that is given in volumes, 0 to 10: what they come to at 20 °C beside the air that is
    shut in with them.

    >>> round(limit_bar_from_volumes(4.5), 1)
    5.2
    """
    return sealed(0.0, _BORNE_AT_C, volumes, air_in_headspace=True).gauge_bar
