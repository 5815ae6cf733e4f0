"""The bench card: pages, made here as HTML and SVG, that answer whether each beer may be packaged.

Only the service serves it. It reads the book in a thread of its own; what it changes, the commands change.
"""

from __future__ import annotations

from lullwort.card.app import card_app
from lullwort.card.cellar import Cellar, Tended
from lullwort.card.desk import Desk
from lullwort.card.guard import Guard
from lullwort.card.guesses import Guesses

__all__ = ["Cellar", "Desk", "Guard", "Guesses", "Tended", "card_app"]
