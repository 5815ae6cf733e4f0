"""The bench card: pages, made here as HTML and SVG, that answer whether each beer may be packaged.

Only the service serves it. It reads the book in a thread of its own; what it changes, the commands change. What is
named here is loaded when it is first asked for: until somebody looks the service needs little of it.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lullwort.card.addresses import card_addresses
    from lullwort.card.ahead import Ahead
    from lullwort.card.app import card_app
    from lullwort.card.cellar import Cellar
    from lullwort.card.desk import Desk
    from lullwort.card.guard import Guard
    from lullwort.card.guesses import Guesses
    from lullwort.card.households import household
    from lullwort.card.news import EVERY_VESSEL, News
    from lullwort.card.ondemand import OnDemand
    from lullwort.card.tended import Tended
    from lullwort.card.workroom import Workroom

__all__ = [
    "EVERY_VESSEL",
    "Ahead",
    "Cellar",
    "Desk",
    "Guard",
    "Guesses",
    "News",
    "OnDemand",
    "Tended",
    "Workroom",
    "card_addresses",
    "card_app",
    "household",
]

_HOMES = {
    "EVERY_VESSEL": "news", "Ahead": "ahead", "Cellar": "cellar", "Desk": "desk", "Guard": "guard",
    "Guesses": "guesses", "News": "news", "OnDemand": "ondemand", "Tended": "tended", "Workroom": "workroom",
    "card_addresses": "addresses", "card_app": "app", "household": "households",
}  # fmt: skip


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
