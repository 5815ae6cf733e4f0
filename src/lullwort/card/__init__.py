"""The bench card: pages, made here as HTML and SVG, that answer whether each beer may be packaged.

Only the service serves it. It reads the book in a thread of its own; what it changes, the commands change. What is
named here is loaded when it is first asked for: until somebody looks the service needs little of it.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lullwort.card.addresses import card_addresses
    from lullwort.card.app import card_app
    from lullwort.card.door.guard import Guard
    from lullwort.card.door.guesses import Guesses
    from lullwort.card.door.households import household
    from lullwort.card.files.workroom import Workroom
    from lullwort.card.known.ahead import Ahead
    from lullwort.card.known.cellar import Cellar
    from lullwort.card.known.desk import Desk
    from lullwort.card.known.news import EVERY_VESSEL, News
    from lullwort.card.known.tended import Tended
    from lullwort.card.ondemand import OnDemand

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
    "EVERY_VESSEL": "known.news", "Ahead": "known.ahead", "Cellar": "known.cellar", "Desk": "known.desk",
    "Guard": "door.guard", "Guesses": "door.guesses", "News": "known.news", "OnDemand": "ondemand",
    "Tended": "known.tended", "Workroom": "files.workroom", "card_addresses": "addresses", "card_app": "app",
    "household": "door.households",
}  # fmt: skip


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
