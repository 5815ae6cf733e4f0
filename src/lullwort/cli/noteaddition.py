"""An addition told by its amount: the points that it makes in what is in the vessel, shown before they are noted."""

from __future__ import annotations

from typing import Any, NamedTuple

from lullwort.cellarbook import Book
from lullwort.cli.amounts import Weighed, positive_volume_l, weighed
from lullwort.cli.judging import judge_book
from lullwort.cli.shownunits import units_of
from lullwort.detector import Units
from lullwort.errors import OutOfRangeError, UsageError
from lullwort.records import Batch
from lullwort.science import Brew, added_points, brew, points_by_rule
from lullwort.settings import Settings

__all__ = ["AddedTo", "added_to", "refuse_beside_amount"]

_UNKNOWN_ORIGINAL = 50.0
# [points] Of an ordinary wort, where none is known: 20 points more or less change what 500 g make by 0.3.
_SAME = 0.05
# [points] By less the two are one.
_GROWS = 0.02
# Of the volume: by more the volume on record should be told, for other sums rest on it.


class AddedTo(NamedTuple):
    """What an addition does to a batch: `entered` are the keys of its event, `says` how that came about."""

    entered: dict[str, Any]
    says: tuple[str, ...]


def added_to(
    book: Book, batch: Batch, at_us: int, added: tuple[str, ...], volume: str | None, settings: Settings
) -> AddedTo:
    """The points that so much makes in `batch` as it was at that moment.

    Raises: UsageError for amounts and volumes that cannot be, with what was probably meant.
    """
    units = units_of(settings)
    things = [weighed(text, "--added", settings) for text in added]
    volume_l = _volume_l(batch, volume, settings)
    original, present, supposed = _gravities(book, batch, at_us)
    try:
        into = brew(1.0 + original / 1000.0, 1.0 + min(present, original) / 1000.0, volume_l)
        put = _together(things)
        points = added_points(into, put)
        now_l = (into + put).volume_l
    except OutOfRangeError as exc:
        much = ", ".join(thing.says(units) for thing in things)
        raise UsageError(
            f"--added: {much} in {units.amount(volume_l)} makes no beer that a formula covers: are both units right?"
        ) from exc
    present_points, original_points = round(points.present, 2), round(points.original, 2)
    entered: dict[str, Any] = {"points": present_points}
    if abs(present_points - original_points) > _SAME or present_points < 2 * _SAME:
        entered["original_points"] = original_points
    what = f"{', '.join(thing.says(units) for thing in things)} in {units.amount(volume_l)}"
    entered["note"] = what
    moves = f"{_moves(present_points, units)}, the original gravity {_moves(original_points, units)}"
    says = [f"{what}, which stood at {units.level(present)}{supposed}: {moves}."]
    if put.extract_kg > 0.0:
        rule = points_by_rule(put, volume_l)
        says.append(f"The rule of thumb (46 points a pound and US gallon) says {units.difference(rule)}.")
    if abs(now_l / volume_l - 1.0) > _GROWS:
        kept = f"`lullwort batch edit {batch.name} --volume`"
        says.append(f"That makes about {units.amount(now_l)} in the vessel; to keep that: {kept}.")
    return AddedTo(entered, tuple(says))


def refuse_beside_amount(added: tuple[str, ...], kind: str, points: str | None) -> None:
    """Raises UsageError where an amount, or its volume, is told of something else, or beside points."""
    if not added:
        raise UsageError("--volume goes with --added, as --added '500g sucrose'")
    if kind != "addition":
        raise UsageError(f"--added goes with an addition, not with a {kind}")
    if points is not None:
        raise UsageError("--points and --added do not go together: the points follow from the amount")


def _together(things: list[Weighed]) -> Brew:
    return sum((thing.ingredient.of(thing.mass_kg) for thing in things), Brew(0.0))


def _volume_l(batch: Batch, volume: str | None, settings: Settings) -> float:
    if volume is not None:
        return positive_volume_l(volume, "--volume", settings)
    if batch.volume_l is None:
        raise UsageError(
            "--volume is missing: into how much beer did that go? To keep it with the batch: "
            f"`lullwort batch edit {batch.name} --volume`"
        )
    return batch.volume_l


def _gravities(book: Book, batch: Batch, at_us: int) -> tuple[float, float, str]:
    """[points] Original gravity and that of the beer then; in words what had to be supposed."""
    now = next(
        (
            entry.judged.now
            for entry in judge_book(book, batch.vessel, at_us, only={batch.name})
            if entry.judged is not None
        ),
        None,
    )
    original = None if now is None else now.original
    if original is None and batch.original_gravity is not None:
        original = 1000.0 * (batch.original_gravity - 1.0)
    present = None if now is None else now.warm_gravity
    if original is None:
        original = _UNKNOWN_ORIGINAL if present is None else max(_UNKNOWN_ORIGINAL, present)
        supposed = " (its original gravity is not known: as an ordinary wort)"
        return original, original if present is None else present, supposed
    if present is None:
        return original, original, " (its gravity then is not known: as wort)"
    return original, present, ""


def _moves(points: float, units: Units) -> str:
    return f"{units.difference(abs(points))} {'less' if points < 0.0 else 'more'}"
