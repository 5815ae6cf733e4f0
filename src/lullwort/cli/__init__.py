"""The commands. Each file parses, calls one function, prints and returns an exit code; nothing heavy loads before."""

from __future__ import annotations

from lullwort.cli.main import main

__all__ = ["main"]
