"""Whether a batch goes as before, in sentences that a brewer would say, in the brewer's units."""

from __future__ import annotations

from collections.abc import Callable

from lullwort.detector import Units, value_range
from lullwort.explained import COMMON_PRACTICE, OURS, Explained
from lullwort.forecast.likeness import Compared, Likeness, TraitName

__all__ = ["COMPARED_EXPLAINED", "likeness_says"]

COMPARED_EXPLAINED = (
    Explained(
        "lag, steepest fall, three quarters gone, tail, end",
        "read off the corrected course of each batch: begun once it has certainly fallen; the most in 24 h; the time "
        "until 75 % of the fall are gone, from there until within a point of the end, and where it came to rest",
        OURS,
    ),
    Explained(
        "called different",
        "what hardly 1 in 20 would show that go as before, all traits together: their own spread, drawn towards that "
        "of an ordinary recipe as if of 12 batches, and what the sensor leaves unknown",
        f"{OURS}; the ordinary spread: {COMMON_PRACTICE}",
    ),
)

_FEW = 2
_NAMES: dict[TraitName, str] = {
    "lag": "lag",
    "steepest fall": "steepest fall",
    "three quarters": "75 %",
    "tail": "tail",
    "end": "end",
    "ready": "hours to ready",
}
_HIGHER = "What it left may ferment in the bottle: a forced ferment test tells."
_LOWER = "Wild yeast may be at work, and goes on in the bottle: take a sample, and a second one days later."
# Cautions of common practice, no source.


def likeness_says(seen: Likeness, units: Units | None = None) -> tuple[str, ...]:
    """Sentences: of another temperature first, then whether it goes as before, last how far that carries.

    `seen` must have an earlier batch.
    """
    units = units or Units()
    says = [_warmth(seen.warmer_k, units)] if seen.warmer_k else []
    if seen.different:
        says += [_different(one, units) for one in seen.different]
    elif seen.as_before:
        held = [_NAMES[one.trait] for one in seen.compared if one.as_before]
        says.append(f"Behaves as before, in all that can be compared{' so far' * seen.runs}: {_listed(held)}.")
    else:
        says.append("Cannot be compared yet: it shows nothing so far that an earlier one shows, too.")
    most = max((one.batches for one in seen.compared), default=0)
    if seen.compared and most < _FEW:
        says.append("One earlier batch tells little: only what differs much can be noticed.")
    return tuple(says)


def _warmth(by_k: float, units: Units) -> str:
    word = "warmer" if by_k > 0.0 else "cooler"
    return f"It lies {units.temp_difference(abs(by_k), 1)} {word} than they did, and the pace follows the temperature."


def _different(one: Compared, units: Units) -> str:
    more = one.value > one.high
    than = f"than the {one.batches} before it" if one.batches > 1 else "than the one before it"
    return _SAYS[one.trait](one, more, than, units)


def _hours(least: float, most: float) -> str:
    return value_range(f"{least:.0f} h", f"{most:.0f} h")


def _lag(one: Compared, more: bool, than: str, _units: Units) -> str:
    took = _hours(one.least, one.most)
    if one.still_open:
        return f"Slower to begin {than}: not begun after {one.value:.0f} h, they took {took}."
    return f"{'Slower' if more else 'Quicker'} to begin {than}: after {one.value:.0f} h, they took {took}."


def _three_quarters(one: Compared, more: bool, than: str, _units: Units) -> str:
    took = _hours(one.least, one.most)
    if one.still_open:
        return f"Slower {than}: 75 % not reached after {one.value:.0f} h, they took {took}."
    return f"{'Slower' if more else 'Quicker'} {than}: 75 % after {one.value:.0f} h, they took {took}."


def _steepest(one: Compared, more: bool, than: str, units: Units) -> str:
    fell = value_range(units.difference(one.least), units.difference(one.most))
    word = "more steeply" if more else "less steeply"
    return f"Falls {word} {than}: at most {units.difference(one.value)} in a day, they fell {fell}."


def _tail(one: Compared, more: bool, than: str, units: Units) -> str:
    near = units.difference(1.0) if units.gravity == "plato" else "a point"
    word, took = "Longer" if more else "Shorter", _hours(one.least, one.most)
    return f"{word} in its tail {than}: {one.value:.0f} h from 75 % to within {near} of its end, they took {took}."


def _end(one: Compared, more: bool, than: str, units: Units) -> str:
    theirs = value_range(units.level(one.least), units.level(one.most))
    word, caution = ("higher", _HIGHER) if more else ("lower", _LOWER)
    return f"Ends {word} {than}: at {units.level(one.value)}, they at {theirs}. {caution}"


def _ready(one: Compared, more: bool, than: str, _units: Units) -> str:
    took = _hours(one.least, one.most)
    if one.still_open:
        return f"Ready later {than}: not ready after {one.value:.0f} h, they were after {took}."
    return f"Ready {'later' if more else 'sooner'} {than}: after {one.value:.0f} h, they after {took}."


_SAYS: dict[TraitName, Callable[[Compared, bool, str, Units], str]] = {
    "lag": _lag,
    "steepest fall": _steepest,
    "three quarters": _three_quarters,
    "tail": _tail,
    "end": _end,
    "ready": _ready,
}


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
