"""What a batch will do, whether it goes as earlier ones of its recipe did, and in which words to say it. Pure."""

from __future__ import annotations

from lullwort.forecast.foreseen import foreseen
from lullwort.forecast.lessons import NOTHING_LEARNED, Lessons, lessons
from lullwort.forecast.likeness import TRAITS, Compared, Likeness, TraitName, likeness
from lullwort.forecast.likewording import COMPARED_EXPLAINED, likeness_says
from lullwort.forecast.plan import Planned, plan
from lullwort.forecast.shapes import Forecast, LeftAt, Level, SampleTime, Span
from lullwort.forecast.traits import Known, Traits, traits
from lullwort.forecast.wording import moved_by, outlook, outlook_details

__all__ = [
    "COMPARED_EXPLAINED",
    "NOTHING_LEARNED",
    "TRAITS",
    "Compared",
    "Forecast",
    "Known",
    "LeftAt",
    "Lessons",
    "Level",
    "Likeness",
    "Planned",
    "SampleTime",
    "Span",
    "TraitName",
    "Traits",
    "foreseen",
    "lessons",
    "likeness",
    "likeness_says",
    "moved_by",
    "outlook",
    "outlook_details",
    "plan",
    "traits",
]
