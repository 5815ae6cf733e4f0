"""The families of invented beers and sensors: what was tuned on one can be reported on another."""

from __future__ import annotations

from typing import Literal, get_args

__all__ = ["FAMILIES", "Family"]

Family = Literal["tail", "uptake", "vigour"]
FAMILIES: tuple[Family, ...] = get_args(Family)
