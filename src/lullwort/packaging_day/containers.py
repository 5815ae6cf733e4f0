"""What beer may be closed in, and what each bears."""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

from lullwort.records import ContainerName
from lullwort.science import sealed

__all__ = ["CONTAINERS", "USUAL_CONTAINER", "Container", "limit_bar_of"]

_BORNE_AT_C = 20.0


class Container(NamedTuple):
    """A kind of bottle or vessel.

    Attributes:
        name:    as it is called.
        volumes: that it bears, filled with beer at 20 °C; None where it must not be closed on beer that ferments.
        says:    what is meant by it.
        source:  how `volumes` is known.
    """

    name: ContainerName
    volumes: float | None
    says: str
    source: str


_PRACTICE = "common practice, no source"

CONTAINERS = MappingProxyType(
    {
        each.name: each
        for each in (
            Container("brown-glass", 3.0, "ordinary beer bottles of 330 to 500 mL, undamaged", _PRACTICE),
            Container("reused-glass", 2.5, "one-way bottles used again, and swing-top bottles", _PRACTICE),
            Container(
                "thick-glass", 4.0, "heavy returnable bottles",
                "common practice, no source; BS6119 designs multi-trip bottles for 9 g/L",
            ),
            Container(
                "sparkling-wine", 6.0, "sparkling-wine bottles with crown cap or wired cork",
                "common practice, no source; such bottles are tested to 16 bar",
            ),
            Container(
                "plastic", 4.0, "plastic bottles made for carbonated drinks",
                "common practice, no source; they rupture at about 12 bar",
            ),
            Container(
                "keg", 6.0, "kegs of steel with a working relief valve; their maker's limit counts first",
                "common practice, no source; usually rated for 9 bar, from memory",
            ),
            Container("growler", None, "jugs for carrying beer home: nothing may ferment in them", _PRACTICE),
        )
    }
)  # fmt: skip
"""By name; of the range that practice gives for each, the lower end."""

USUAL_CONTAINER: ContainerName = "brown-glass"


def limit_bar_of(container: Container) -> float:
    """[bar, gauge] That it bears: what the volumes that it bears come to at 20 °C; 0 where nothing may ferment in it.

    Volumes alone say nothing of a warm bottle; the glass feels the pressure.

    >>> round(limit_bar_of(CONTAINERS["brown-glass"]), 1)
    2.4
    """
    if container.volumes is None:
        return 0.0
    return sealed(0.0, _BORNE_AT_C, container.volumes).gauge_bar
