"""Two beers put together: what the blend holds, and what may still ferment in it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from lullwort.packaging_day.strength import Gravities, figures_of
from lullwort.packaging_day.uncertain import Error, Estimate, ranges
from lullwort.science import Brew, brew, plato_from_sg

__all__ = ["LeftInBlend", "Part", "blend_figures", "left_in_blend"]


class Part(NamedTuple):
    """So much of one beer [L at 20 °C], with the standard deviation of that [L].

    `left` and `left_upper` are the points that it has yet to ferment by itself, about and at most; None if not known.
    """

    gravities: Gravities
    volume_l: float
    volume_sd_l: float
    left: float | None = None
    left_upper: float | None = None

    @property
    def apparent_attenuation(self) -> float:
        """Fraction of the original extract that seems gone."""
        return _attenuation(self.gravities.original, self.gravities.final)


class LeftInBlend(NamedTuple):
    """[points] That may still ferment in a blend.

    Attributes:
        about, at_most: by what each beer has left itself; None where that is not known of each.
        by_the_drier: once the yeast of the drier beer takes from the other what that one's own has left.
    """

    about: float | None
    at_most: float | None
    by_the_drier: Estimate

    @property
    def upper(self) -> float:
        """[points] The most of it all, as far as it is known."""
        return max(self.at_most or 0.0, self.by_the_drier.high)


def blend_figures(parts: Sequence[Part]) -> dict[str, Estimate]:
    """The figures of `figures_of` for all parts together, and `volume_l` and `contraction_l` [L].

    Raises: OutOfRangeError where a gravity lies outside what the formulas cover.
    """
    return ranges(_figures, *_known(parts))


def left_in_blend(parts: Sequence[Part]) -> LeftInBlend:
    """What may still ferment in a blend of these parts.

    The most attenuating yeast is taken to ferment every part as far as its own beer: it may, for it meets what
    another left (longer sugars, or a stuck beer's plain ones), and nothing here can tell that it will not.
    """
    own = [part.left_upper or 0.0 for part in parts]
    drier = ranges(lambda values: {"left": _by_the_drier(values, own)}, *_known(parts))["left"]
    if any(part.left is None or part.left_upper is None for part in parts):
        return LeftInBlend(None, None, drier)
    total_l = sum(part.volume_l for part in parts)
    about, at_most = (
        sum(part.volume_l * points for part, points in zip(parts, each, strict=True)) / total_l
        for each in ([part.left or 0.0 for part in parts], own)
    )
    return LeftInBlend(about, at_most, drier)


def _known(parts: Sequence[Part]) -> tuple[list[float], list[Error]]:
    """Three values a part, its gravities [points] and volume [L], and what may be wrong with them."""
    values = [value for part in parts for value in (*part.gravities[:2], part.volume_l)]
    errors = []
    for nth, part in enumerate(parts):
        at, sds = 3 * nth, part.gravities
        errors += [
            Error(sds.original_sd, (at,)),
            Error(sds.final_sd, (at + 1,)),
            Error(sds.common_sd, (at, at + 1)),
            Error(part.volume_sd_l, (at + 2,)),
        ]
    return values, errors


def _by_the_drier(values: Sequence[float], own: Sequence[float]) -> float:
    """[points] To where each part is as far fermented as the drier, or has nothing left of its `own`."""
    parts = list(zip(values[::3], values[1::3], values[2::3], own, strict=True))
    furthest = max(_attenuation(original, final) for original, final, _, _ in parts)
    total = sum(
        volume_l * max(original * (furthest - _attenuation(original, final)), left)
        for original, final, volume_l, left in parts
    )
    return total / sum(values[2::3])


def _attenuation(original: float, final: float) -> float:
    extract, left = (plato_from_sg(1.0 + points / 1000.0) for points in (original, final))
    return (extract - left) / extract


def _figures(values: Sequence[float]) -> dict[str, float]:
    together, parts_l = Brew(0.0), 0.0
    for original, final, volume_l in zip(values[::3], values[1::3], values[2::3], strict=True):
        # By their errors the two may cross where hardly anything has fermented.
        together += brew(1.0 + original / 1000.0, 1.0 + min(final, original) / 1000.0, volume_l)
        parts_l += volume_l
    original, final = (
        1000.0 * (gravity - 1.0) for gravity in (together.original_gravity(), together.present_gravity())
    )
    volume_l = together.volume_l
    return {
        **figures_of(together.strength(), original, final),
        "volume_l": volume_l,
        "contraction_l": parts_l - volume_l,
    }
