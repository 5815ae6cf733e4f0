"""Many values as a line, as a band or as strokes, with no more of them than the picture has pixels."""

from __future__ import annotations

import numpy as np

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
    pixels = np.floor(x).astype(int)
    order = np.argsort(pixels, kind="stable")
    pixels, values = pixels[order], y[order]
    first = np.flatnonzero(np.diff(pixels, prepend=pixels[0] - 1))
    least, most = np.minimum.reduceat(values, first), np.maximum.reduceat(values, first)
    return list(zip(pixels[first].tolist(), least.tolist(), most.tolist(), strict=True))


def strokes(at_x: FloatArray, values: FloatArray, panel: Panel, name: str) -> str:
    """For each pixel a stroke from its smallest to its largest value; nothing where there is none."""
    # Downwards on the paper is upwards in `extremes`: the highest value has the least y.
    drawn = [f"M{x + 0.5:.1f} {least:.1f}v{most - least:.1f}" for x, least, most in extremes(at_x, panel.ys(values))]
    return f'<path d="{"".join(drawn)}" class="{name}"/>' if drawn else ""


def line(at_x: FloatArray, values: FloatArray, panel: Panel, name: str) -> str:
    """Where several values share a pixel, its extremes in the order in which the line comes and goes."""
    drawn, last = [], None
    for pixel, high, low in extremes(at_x, panel.ys(values)):
        pair = (low, high) if last is None or abs(low - last) <= abs(high - last) else (high, low)
        drawn += [f"{pixel + 0.5:.1f},{y:.1f}" for y in (pair if low != high else pair[:1])]
        last = pair[-1]
    return f'<polyline points="{" ".join(drawn)}" class="{name}"/>'


def band(at_x: FloatArray, low: FloatArray, high: FloatArray, panel: Panel, name: str) -> str:
    """All between `low` and `high`, of each pixel the lowest and the highest of them."""
    under = [f"{pixel + 0.5:.1f},{y:.1f}" for pixel, _, y in extremes(at_x, panel.ys(low))]
    over = [f"{pixel + 0.5:.1f},{y:.1f}" for pixel, y, _ in extremes(at_x, panel.ys(high))]
    return f'<polygon points="{" ".join([*over, *under[::-1]])}" class="{name}"/>'
