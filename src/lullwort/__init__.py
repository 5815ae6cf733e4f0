"""Lullwort: from a floating sensor's log to the day a batch may be packaged."""

from __future__ import annotations

__all__ = ["__version__"]

__version__ = "0.1.0"
