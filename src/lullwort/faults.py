"""What is wrong with what was typed, gathered so that all of it is told at once."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from lullwort.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Faults", "SeveralFaultsError"]


class SeveralFaultsError(UsageError):
    """Several things are wrong, each with a sentence of its own in `faults`."""

    def __init__(self, faults: tuple[str, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(faults))


class Faults:
    """Takes up what is wrong with one thing after the other; true where there is any.

    >>> faults = Faults()
    >>> for text in ("1", "two", "three"):
    ...     with faults.each():
    ...         if not text.isdigit():
    ...             raise UsageError(f"{text} is no number")
    >>> faults.refuse()
    Traceback (most recent call last):
    lullwort.faults.SeveralFaultsError: two is no number
    three is no number
    """

    def __init__(self) -> None:
        self._found: list[UsageError] = []

    def __bool__(self) -> bool:
        return bool(self._found)

    @contextmanager
    def each(self) -> Iterator[None]:
        """What is wrong within is taken up, and what follows goes on."""
        try:
            yield
        except UsageError as exc:
            self._found.append(exc)

    def refuse(self) -> None:
        """Raise what was taken up: a UsageError as it was, several as SeveralFaultsError; each sentence once."""
        if len(self._found) == 1:
            raise self._found[0]
        if self._found:
            told = (each for exc in self._found for each in (getattr(exc, "faults", None) or (str(exc),)))
            raise SeveralFaultsError(tuple(dict.fromkeys(told)))
