"""A log file imported by a process of its own, so that what reads files never stays in the service's memory."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

from lullwort.cellarbook import open_book
from lullwort.collector import Report, is_senml
from lullwort.errors import BookError, SourceError
from lullwort.leash import leashed
from lullwort.settings import Settings

__all__ = ["import_file"]

_TIMEOUT_S = 3600.0
_FAILED = 3
_ROOM_BYTES = 4 << 20
"""Less than that may have been too little for a file."""


def import_file(settings: Settings, environment: Mapping[str, str], path: Path) -> Report:
    """Store the file as `lullwort backfill` would; rows set aside are in the report and do not fail it."""
    words = [sys.executable, "-m", "lullwort", "backfill", str(path), "--store-only", "--book", str(settings.book)]
    try:
        if settings.folder is not None and settings.folder.mapping and not is_senml(path):
            words += ["--mapping", settings.folder.mapping]
        done = _run(words, environment)
        if done.returncode == _FAILED and _takes_writing(settings.book):
            done = _run(words, environment)  # what was in the way may just have gone
    except (OSError, SourceError, subprocess.TimeoutExpired) as exc:
        return Report(False, f"The import could not be run: {type(exc).__name__}.\n")
    if done.returncode == _FAILED and not _takes_writing(settings.book):
        return Report(None, done.stderr)
    says = "\n".join(part for part in (done.stdout.strip(), done.stderr.strip()) if part)
    return Report(done.returncode in (0, 1) and re.search(r"\brows? read\b", done.stdout) is not None, f"{says}\n")


def _run(words: list[str], environment: Mapping[str, str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        words, env={**environment, **leashed()}, stdin=subprocess.DEVNULL, capture_output=True, text=True,
        timeout=_TIMEOUT_S, check=False,
    )  # fmt: skip


def _takes_writing(path: Path) -> bool:
    """Whether the book could take a file; where it cannot, that is not the file's fault."""
    try:
        with open_book(path, wait_s=1.0) as book:
            return book.free_bytes() >= _ROOM_BYTES
    except BookError:
        return False
