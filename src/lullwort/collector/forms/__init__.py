"""How a message is read: as a SenML pack, as JSON of any shape by a mapping of its fields, as a bare number."""

from __future__ import annotations

from lullwort.collector.forms.decode import IMPOSSIBLE_TIME, WHOLE_CHARACTERS, decode_packet
from lullwort.collector.forms.form import SENML, Form, checked_form
from lullwort.collector.forms.plain import PlainReading, plain_reading
from lullwort.collector.forms.pointer import Pointer

__all__ = [
    "IMPOSSIBLE_TIME",
    "SENML",
    "WHOLE_CHARACTERS",
    "Form",
    "PlainReading",
    "Pointer",
    "checked_form",
    "decode_packet",
    "plain_reading",
]
