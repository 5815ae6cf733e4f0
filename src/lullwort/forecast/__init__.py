"""What is foreseen of a batch, and in which words. Pure."""

from __future__ import annotations

from lullwort.forecast.plan import Planned, plan
from lullwort.forecast.shapes import Forecast, LeftAt, Level, SampleTime, Span
from lullwort.forecast.wording import outlook, outlook_details

__all__ = [
    "Forecast",
    "LeftAt",
    "Level",
    "Planned",
    "SampleTime",
    "Span",
    "outlook",
    "outlook_details",
    "plan",
]
