"""The trade-off as a picture: how often a method errs against how long it lets the brewer wait. SVG, made by hand."""

from __future__ import annotations

import math
from collections.abc import Mapping
from html import escape

from lullwort.detector import Units
from lullwort.rehearsal.score import Row

__all__ = ["trade_off"]

_WIDTH, _HEIGHT = 760, 440
_LEFT, _RIGHT, _TOP, _BOTTOM = 70, 20, 40, 60
_LEAST_H, _MOST_H = -20.0, 120.0
_LEAST_SHARE, _MOST_SHARE = 0.0003, 1.0
_LINE, _LABEL = 16.0, 170.0
_TICKS_H = range(-20, 121, 20)
_TICKS_SHARE = (0.001, 0.01, 0.1, 1.0)


def trade_off(title: str, rows: Mapping[str, Row], units: Units | None = None) -> str:
    """A dot for each method at the 95 % bound of its false readies, a line down to what was counted; by median delay.

    So few batches look no better than they can be known to be, and none in n is not zero. Methods that never spoke are
    left out.
    """
    parts = [_frame(title, units or Units())]
    taken: list[tuple[float, float]] = []
    spoke = {name: row for name, row in rows.items() if row.median_delay_h is not None}
    for name, row in sorted(spoke.items(), key=lambda item: -item[1].false_bound):
        x, y = _x(row.median_delay_h or 0.0), _y(row.false_bound)
        label_y = y + 4.0
        while any(abs(label_y - other_y) < _LINE and abs(x - other_x) < _LABEL for other_x, other_y in taken):
            label_y += 2.0
        taken.append((x, label_y))
        counted_y = _y(row.false_ready / row.batches)
        parts.append(f'<line x1="{x:.1f}" y1="{y:.1f}" x2="{x:.1f}" y2="{counted_y:.1f}" class="bound"/>')
        parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>')
        parts.append(f'<text x="{x + 9:.1f}" y="{label_y:.1f}">{escape(name)}</text>')
    return "\n".join([*parts, "</svg>\n"])


def _x(delay_h: float) -> float:
    share = (min(max(delay_h, _LEAST_H), _MOST_H) - _LEAST_H) / (_MOST_H - _LEAST_H)
    return _LEFT + share * (_WIDTH - _LEFT - _RIGHT)


def _y(share: float) -> float:
    low, high = math.log(_LEAST_SHARE), math.log(_MOST_SHARE)
    up = (math.log(min(max(share, _LEAST_SHARE), _MOST_SHARE)) - low) / (high - low)
    return _HEIGHT - _BOTTOM - up * (_HEIGHT - _TOP - _BOTTOM)


def _frame(title: str, units: Units) -> str:
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img" font-family="serif" '
        f'font-size="14"><title>{escape(title)}</title>',
        "<style>.bound{stroke:#333;stroke-width:1.5}circle{fill:#222}.grid{stroke:#ddd}</style>",
        f'<rect width="{_WIDTH}" height="{_HEIGHT}" fill="#fff"/>',
        f'<text x="{_LEFT}" y="22" font-size="16">{escape(title)}</text>',
    ]
    bottom = _HEIGHT - _BOTTOM
    for hour in _TICKS_H:
        x = _x(hour)
        parts.append(f'<line x1="{x:.1f}" y1="{_TOP}" x2="{x:.1f}" y2="{bottom}" class="grid"/>')
        parts.append(f'<text x="{x:.1f}" y="{bottom + 20}" text-anchor="middle">{hour}</text>')
    for share in _TICKS_SHARE:
        y = _y(share)
        parts.append(f'<line x1="{_LEFT}" y1="{y:.1f}" x2="{_WIDTH - _RIGHT}" y2="{y:.1f}" class="grid"/>')
        parts.append(f'<text x="{_LEFT - 8}" y="{y + 5:.1f}" text-anchor="end">{units.short(100.0 * share)} %</text>')
    middle = (_LEFT + _WIDTH - _RIGHT) // 2
    parts.append(
        f'<text x="{middle}" y="{_HEIGHT - 14}" text-anchor="middle">median hours from the true end to the call</text>'
    )
    middle = (_TOP + bottom) // 2
    parts.append(
        f'<text x="18" y="{middle}" text-anchor="middle" transform="rotate(-90 18 {middle})">'
        "called falsely: at most, with 95 %</text>"
    )
    return "\n".join(parts)
