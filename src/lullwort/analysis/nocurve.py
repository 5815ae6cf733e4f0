"""Why points of a calibration give no curve, in a sentence that whoever shows it can put into units of its reader."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from lullwort.errors import RefusedError

__all__ = ["NoCurveError"]


class NoCurveError(RefusedError):
    """These points give no curve that can be trusted.

    Attributes:
        of:    what the raw values are, as in `Calibration`.
        why:   the sentence, with the names of its numbers in braces.
        apart: [points] numbers of it that are differences of gravity, by their names.
        raws:  raw values in it, likewise.

    >>> refused = NoCurveError("gravity", "{worst} off, at {p1}", apart={"worst": 6.25}, raws={"p1": 1.04})
    >>> str(refused), refused.told(lambda points: "1,6 °P", lambda raw: "10,0 °P")
    ('6.2 points off, at 1.04', '1,6 °P off, at 10,0 °P')
    """

    def __init__(
        self, of: str, why: str, *, apart: Mapping[str, float] | None = None, raws: Mapping[str, float] | None = None
    ) -> None:
        self.of, self.why = of, why
        self.apart, self.raws = dict(apart or {}), dict(raws or {})
        super().__init__(self.told(lambda points: f"{points:.1f} points", lambda raw: f"{raw:.5g}"))

    def told(self, apart: Callable[[float], str], raw: Callable[[float], str]) -> str:
        """The sentence with its numbers as these two make them into words."""
        words = {name: apart(points) for name, points in self.apart.items()}
        return self.why.format(**words, **{name: raw(value) for name, value in self.raws.items()})
