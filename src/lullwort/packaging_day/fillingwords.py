"""The beer that is moved and the bottles that it fills, in sentences."""

from __future__ import annotations

from lullwort.detector import Units, value_range
from lullwort.packaging_day.bottling import FilledLot, Filling
from lullwort.packaging_day.moved import Moved
from lullwort.packaging_day.uncertain import estimated

__all__ = ["filling_says", "moved_says", "sanitised_says"]

_SURE = "9 in 10 sure"


def moved_says(moved: Moved, units: Units) -> str:
    """How much beer is moved, and how that is known.

    >>> moved_says(Moved(17.1, 1.0, 1.9, "usual losses"), Units())
    '17.1 L will be moved (15.5 to 18.7 L, 9 in 10 sure): 19.0 L less about 1.9 L that usually stay behind.'
    """
    _, low, high = estimated(moved.volume_l, moved.sd_l)
    about = units.amount(moved.volume_l)
    within = f"({value_range(units.amount(max(0.0, low)), units.amount(high))}, {_SURE})"
    if moved.losses_l is None:
        how = "by the bottles filled" if moved.known_by == "bottles filled" else "as measured"
        return f"{about} were moved {within}, {how}."
    if moved.volume_l <= 0.0:
        return f"Nothing is left to fill: {units.amount(moved.losses_l)} that stay behind are all there is."
    whole, stay = units.amount(moved.volume_l + moved.losses_l), units.amount(moved.losses_l)
    how = f"about {stay} that usually stay behind" if moved.known_by == "usual losses" else f"{stay} that stay behind"
    return f"{about} will be moved {within}: {whole} less {how}."


def sanitised_says(filling: Filling, units: Units) -> str:
    """Which bottles are made ready, as part of a sentence; empty where none are."""
    return " and ".join(f"{lot.sanitised} of {units.serving(lot.volume_l)}" for lot in filling.lots if lot.sanitised)


def filling_says(filling: Filling, moved: Moved, units: Units, *, keg: bool = False) -> list[str]:
    """How many bottles to fill and to make ready, what is left over and what is missing: a sentence for each thing.

    Args:    keg: whether they are kegs, of which the last may be part-filled.
    """
    says = [_filled(filling, units)]
    if keg:
        if filling.filled:
            which = "which" if filling.filled == 1 else "the last of which"
            says[0] = f"{says[0].removesuffix('.')}, {which} need not be full."
        if filling.more is not None:
            says.append(f"{units.amount(filling.left_l)} find no keg.")
        return says
    if filling.sanitised:
        spare = filling.sanitised - sum(lot.most for lot in filling.lots)
        says.append(f"Clean and sanitise {filling.sanitised}{_of_them_spare(spare)}.")
    says += [says_so for lot in filling.lots if (says_so := _too_large(lot, moved, units))]
    if filling.more is not None:
        more = f"{filling.more.count} more of {units.serving(filling.more.volume_l)} are missing"
        most = f", at most {filling.more_most}" if filling.more_most > filling.more.count else ""
        says.append(f"{units.amount(filling.left_l)} find no bottle: {more}{most}.")
        return says
    if filling.left_l >= 0.05:
        says.append(f"About {units.serving(filling.left_l)} are left over, which fill none.")
    if unused := [lot for lot in filling.unused if lot.volume_l <= moved.volume_l]:
        stay = " and ".join(f"{lot.count} of {units.serving(lot.volume_l)}" for lot in unused)
        says.append(f"Likely to stay empty: {stay}.")
    elif filling.more_most:
        says.append(f"If it is more beer than that, up to {filling.more_most} more would be needed.")
    return says


def _filled(filling: Filling, units: Units) -> str:
    if not filling.filled:
        return "It fills none of the bottles."
    lots = [lot for lot in filling.lots if lot.most]
    if len(lots) == 1:
        (lot,) = lots
        return f"{lot.filled} of {units.serving(lot.volume_l)}{_within(lot.fewest, lot.most, lot.filled)}."
    each = ", then ".join(
        f"{lot.filled} of {units.serving(lot.volume_l)}{_within(lot.fewest, lot.most, lot.filled, sure=False)}"
        for lot in lots
    )
    total = f"{filling.filled} in all{_within(filling.fewest, filling.most, filling.filled)}"
    return f"{each}: the largest first, {total}."


def _within(fewest: int, most: int, filled: int, *, sure: bool = True) -> str:
    if fewest == most == filled:
        return ""
    return f" ({fewest} to {most}{f', {_SURE}' if sure else ''})"


def _of_them_spare(spare: int) -> str:
    if spare <= 0:
        return ""
    return ", one of them spare" if spare == 1 else f", {spare} of them spare"


def _too_large(lot: FilledLot, moved: Moved, units: Units) -> str:
    """Of one that even the most beer does not fill."""
    if lot.most or lot.volume_l <= estimated(moved.volume_l, moved.sd_l).high:
        return ""
    return (
        f"{units.serving(lot.volume_l)} is more than all the beer there is, so that one stays empty: is its size right?"
    )
