"""What a batch will do, and whether it goes as earlier ones of its recipe did. Pure."""

from __future__ import annotations

from lullwort.forecast.likeness import TRAITS, Compared, Likeness, TraitName, likeness
from lullwort.forecast.likewording import likeness_says
from lullwort.forecast.traits import Known, Traits, traits

__all__ = [
    "TRAITS",
    "Compared",
    "Known",
    "Likeness",
    "TraitName",
    "Traits",
    "likeness",
    "likeness_says",
    "traits",
]
