"""Many values as a line or as strokes, with no more of them than the picture has pixels.

Steps from one pixel to the next, in tenths: half as long as places are, and made of whole columns at once.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lullwort.exporting.curvepanel import Panel
from lullwort.units import FloatArray

__all__ = ["band", "extremes", "line", "strokes"]


def extremes(x: FloatArray, y: FloatArray) -> list[tuple[int, float, float]]:
    """For each pixel of `x` that has a value: the pixel, and its smallest and largest `y`, so that no peak is lost.

    >>> extremes(np.array([0.2, 0.7, 3.1]), np.array([5.0, 9.0, 1.0]))
    [(0, 5.0, 9.0), (3, 1.0, 1.0)]
    """
    if not len(x):
        return []
    pixels, least, most, _ = _columns(x, y)
    return list(zip(pixels.tolist(), least.tolist(), most.tolist(), strict=True))


def strokes(at_x: FloatArray, values: FloatArray, panel: Panel, name: str) -> str:
    """For each pixel a stroke from its smallest to its largest value; nothing where there is none."""
    if not len(at_x):
        return ""
    # Downwards on the paper is upwards in `extremes`: the highest value has the least y.
    pixels, least, most, _ = _columns(at_x, _tenths(panel.ys(values)))
    steps = np.empty((len(pixels), 3))
    steps[:, 0], steps[:, 1], steps[:, 2] = np.diff(pixels, prepend=0), least, (most - least) / 10.0
    steps[1:, 1] -= most[:-1]
    steps[:, 1] /= 10.0
    steps[0, 0] += 0.5
    return f'<path d="{_short("m%g %gv%g", steps)}" class="{name}"/>'


def line(at_x: FloatArray, values: FloatArray, panel: Panel, name: str) -> str:
    """Where several values share a pixel, its extremes in the order in which the line comes."""
    if not len(at_x):
        return ""
    y = _tenths(panel.ys(values))
    pixels, high, low, first = _columns(at_x, y)
    came = y[first]
    pair = np.where(
        (np.abs(came - low) <= np.abs(came - high))[:, None], np.stack([low, high], 1), np.stack([high, low], 1)
    )
    single = (low == high).repeat(2)
    single[::2] = False
    return f'<path d="{_along(pixels.repeat(2)[~single], pair.reshape(-1)[~single])}" class="{name}"/>'


def band(at_x: FloatArray, low: FloatArray, high: FloatArray, panel: Panel, name: str) -> str:
    """All between `low` and `high`, of each pixel the lowest and the highest of them."""
    if not len(at_x):
        return ""
    pixels, _, under, _ = _columns(at_x, _tenths(panel.ys(low)))
    _, over, _, _ = _columns(at_x, _tenths(panel.ys(high)))
    there_and_back = np.concatenate([pixels, pixels[::-1]]), np.concatenate([over, under[::-1]])
    return f'<path d="{_along(*there_and_back)}z" class="{name}"/>'


def _tenths(y: FloatArray) -> FloatArray:
    return np.asarray(np.rint(10.0 * y))


def _columns(x: FloatArray, y: FloatArray) -> tuple[NDArray[np.int64], FloatArray, FloatArray, NDArray[np.int64]]:
    """Of each pixel that has a value: the pixel, its smallest and largest `y`, and the place of its first."""
    pixels = np.floor(x).astype(np.int64)
    if len(pixels) > 1 and (pixels[1:] < pixels[:-1]).any():
        order = np.argsort(pixels, kind="stable")
        pixels, y = pixels[order], y[order]
    first = np.flatnonzero(np.diff(pixels, prepend=pixels[0] - 1))
    return pixels[first], np.minimum.reduceat(y, first), np.maximum.reduceat(y, first), first


def _along(pixels: NDArray[np.int64], tenths: FloatArray) -> str:
    """Through the middle of each pixel."""
    steps = np.empty((len(pixels), 2))
    steps[:, 0], steps[:, 1] = np.diff(pixels, prepend=0), np.diff(tenths, prepend=0.0) / 10.0
    start = f"M{pixels[0] + 0.5:.1f} {tenths[0] / 10.0:.1f}"
    return f"{start}l{_short('%g %g ', steps[1:])}".rstrip(" l") if len(steps) > 1 else f"{start}h0"


def _short(form: str, steps: FloatArray) -> str:
    """Each row by `form`, without what a reader of paths does not need."""
    drawn = (form * len(steps)) % tuple(steps.reshape(-1).tolist())
    return drawn.replace("-0.", "-.").replace(" 0.", " .").replace("v0.", "v.").replace(" -", "-")
