"""A log file handed in at the card: looked at first, stored when somebody has seen how it would be read."""

from __future__ import annotations

from lullwort.card.imports.handler import Imports

__all__ = ["Imports"]
