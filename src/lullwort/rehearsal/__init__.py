"""Invented batches with the truth kept apart: for demos, drills and the evaluation of the detector."""

from __future__ import annotations

from lullwort.rehearsal.invented import Invented, invent
from lullwort.rehearsal.kinds import KINDS, SCORED, Kind
from lullwort.rehearsal.truth import Truth

__all__ = ["KINDS", "SCORED", "Invented", "Kind", "Truth", "invent"]
