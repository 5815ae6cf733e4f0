"""Invented batches with the truth kept apart: for demos, drills and the evaluation of the detector.

What needs scipy is imported from where it lives: `rehearsal.simple_methods`, `rehearsal.methods`,
`rehearsal.outcome` and `rehearsal.score`.
"""

from __future__ import annotations

from lullwort.rehearsal.family import FAMILIES, Family
from lullwort.rehearsal.invented import Invented, invent, renamed, shifted
from lullwort.rehearsal.kinds import KINDS, SCORED, Kind
from lullwort.rehearsal.repeats import ODDITIES, invent_repeats
from lullwort.rehearsal.truth import Truth
from lullwort.rehearsal.writers import batches_toml, csv_lines, csv_text

__all__ = [
    "FAMILIES",
    "KINDS",
    "ODDITIES",
    "SCORED",
    "Family",
    "Invented",
    "Kind",
    "Truth",
    "batches_toml",
    "csv_lines",
    "csv_text",
    "invent",
    "invent_repeats",
    "renamed",
    "shifted",
]
