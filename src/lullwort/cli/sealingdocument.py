"""A sealed bottle for other programs: fixed names, g/L, bar above the air outside, °C."""

from __future__ import annotations

from typing import Any

from lullwort.packaging_day import Limit, Sealing
from lullwort.units import co2_volumes_from_g_l

__all__ = ["limit_document", "sealing_document"]


def sealing_document(sealing: Sealing | None) -> dict[str, Any] | None:
    """What is in it, how it presses at each temperature, and up to which the limit holds; null where that is far more
    than any bottle holds."""
    if sealing is None or sealing.beyond_all:
        return None
    return {
        "co2_g_l": _pair(sealing.about_g_l, sealing.at_most_g_l),
        "volumes": _pair(co2_volumes_from_g_l(sealing.about_g_l), co2_volumes_from_g_l(sealing.at_most_g_l)),
        "holds_up_to_c": None if sealing.holds_to_c is None else round(sealing.holds_to_c, 2),
        "temperatures": [
            {
                "temp_c": row.temp_c,
                "gauge_bar": _pair(row.about_bar, row.at_most_bar),
                "margin_bar": round(row.margin_bar, 3),
                "exceeds": row.exceeds,
            }
            for row in sealing.at
        ],
    }


def limit_document(limit: Limit) -> dict[str, Any]:
    """The container and what it bears; `air_counted` where `upper` of each pressure has the air that was shut in."""
    return {
        "container": limit.container.name,
        "limit_bar": round(limit.bar, 3),
        "limit_by": "stated" if limit.stated else "kind",
        "air_counted": limit.stated,
    }


def _pair(value: float, upper: float) -> dict[str, float]:
    return {"value": round(value, 3), "upper": round(upper, 3)}
