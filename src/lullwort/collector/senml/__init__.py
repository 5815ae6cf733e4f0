"""Logs and messages that are SenML packs [RFC8428]."""

from __future__ import annotations

from lullwort.collector.senml.packs import SenmlDecoder
from lullwort.collector.senml.senmllog import SENML_SUFFIXES, is_senml, open_senml

__all__ = ["SENML_SUFFIXES", "SenmlDecoder", "is_senml", "open_senml"]
