"""What columns are called in logs from elsewhere: trade words in some languages (common practice, no source)."""

from __future__ import annotations

import re

from lullwort.collector.table.headings import heading

__all__ = ["role_of_label"]

_WORDS = {
    "date": "date datum day tag fecha dia data jour",
    "time": "time timestamp datetime zeit uhrzeit zeitpunkt zeitstempel tijd hora heure horodatage ora czas tid cas "
            "recorded measured gemessen",
    "vessel": "vessel fermenter fermentor tank gärbehälter behälter gärtank bottich fermenteur "
              "fermentador fermentatore",
    "gravity": "gravity sg density dichte extrakt restextrakt extract plato brix densidad densité densite densità "
               "densita gęstość hustota densitet",
    "temperature": "temperature temp temperatur temperatura température teplota lämpötila",
    "sensor": "sensor device gerät fühler capteur",
    "battery": "battery batterie akku bateria batería batteria accu voltage spannung",
    "signal": "signal rssi signalstärke",
    "inclination": "inclination angle winkel neigung inclinaison",
}  # fmt: skip
_ROLE = {word: role for role, words in _WORDS.items() for word in words.split()}
_WHERE = ("vessel", "sensor")


def role_of_label(label: str) -> str | None:
    """What a column of this label probably is: a role of a mapping or "date"; None if that is anybody's guess.

    >>> role_of_label("Extrakt (°P)"), role_of_label("Tank temp"), role_of_label("Comment")
    ('gravity', 'temperature', None)
    """
    name = heading(label).name
    words = [name, *re.split(r"[^\w]+|_", name)]
    roles = [_ROLE[word] for word in words if word in _ROLE]
    # "tank temp" is a temperature, "device battery" a battery: what is measured outranks where.
    return next((role for role in roles if role not in _WHERE), roles[0] if roles else None)
