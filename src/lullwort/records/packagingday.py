"""What a brewer means to do on packaging day, and what was done then."""

from __future__ import annotations

from typing import Literal, get_args

import msgspec

__all__ = ["CONTAINER_NAMES", "SUGAR_NAMES", "BottleLot", "ContainerName", "PackagingDay", "SugarName"]

ContainerName = Literal[
    "brown-glass", "reused-glass", "thick-glass", "sparkling-wine", "plastic", "keg", "growler"
]  # fmt: skip
SugarName = Literal["sucrose", "dextrose", "dextrose-anhydrous", "dry-malt-extract", "honey", "reserved-wort"]

CONTAINER_NAMES: tuple[ContainerName, ...] = get_args(ContainerName)
SUGAR_NAMES: tuple[SugarName, ...] = get_args(SugarName)


class BottleLot(msgspec.Struct, frozen=True):
    """So many bottles of one size: `volume_l` [L] of beer in each when it is full, above 0; `count` 0 or more."""

    volume_l: float
    count: int


class PackagingDay(msgspec.Struct, frozen=True, kw_only=True):
    """Choices first, then what was measured; None, and no lots, where nothing was said.

    Attributes:
        target_g_l: [g CO2/L of beer] that it should hold when it is drunk.
        container:  name of a kind of bottle or vessel.
        limit_bar:  [bar, gauge] that this very container bears, as its maker states; outranks what its kind bears.
        sugar:      name of what it is primed with.
        losses_l:   [L] that will stay behind in the vessel, hoses and filler.
        bottles:    those that there are to fill.
        moved_l:    [L] that was moved off the sediment, as measured.
        primed_g:   [g] of `sugar` that was put in.
        filled:     bottles that were filled.
    """

    target_g_l: float | None = None
    container: ContainerName | None = None
    limit_bar: float | None = None
    sugar: SugarName | None = None
    losses_l: float | None = None
    bottles: tuple[BottleLot, ...] = ()
    moved_l: float | None = None
    primed_g: float | None = None
    filled: tuple[BottleLot, ...] = ()
