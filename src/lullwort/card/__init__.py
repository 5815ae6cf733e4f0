"""The bench card: pages, made here as HTML and SVG, that answer whether each beer may be packaged.

Only the service serves it. It reads the book in a thread of its own; what it changes, the commands change.
"""

from __future__ import annotations

from lullwort.card.ahead import Ahead
from lullwort.card.app import card_app
from lullwort.card.cellar import Cellar, Tended
from lullwort.card.desk import Desk
from lullwort.card.guard import Guard
from lullwort.card.guesses import Guesses
from lullwort.card.news import EVERY_VESSEL, News

__all__ = ["EVERY_VESSEL", "Ahead", "Cellar", "Desk", "Guard", "Guesses", "News", "Tended", "card_app"]
