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


def role_of_label(label: str) -> str | None:
    """What a column of this label probably is: a role of a mapping or "date"; None if that is anybody's guess.

    >>> role_of_label("Extrakt (°P)"), role_of_label("Temp_F"), role_of_label("Comment")
    ('gravity', 'temperature', None)
    """
    name = heading(label).name
    if name in _ROLE:
        return _ROLE[name]
    for word in re.split(r"[^\w]+|_", name):
        if word in _ROLE:
            return _ROLE[word]
    return None
