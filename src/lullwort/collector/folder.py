"""A folder in which log files are dropped: each is imported once it is complete, and put away with its report."""

from __future__ import annotations

import logging
import os
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

from lullwort.collector.entries.keycheck import as_table, checked_keys, text, whole_number

__all__ = ["FolderSettings", "FolderWatch", "Report", "checked_folder"]

_LOG = logging.getLogger("lullwort.folder")

_DONE, _FAILED = "done", "failed"
_NOT_COMPLETE = (".part", ".tmp", ".crdownload", "~")
"""Ends of names that programs give to a file which they still write. Common practice, no source."""


class FolderSettings(msgspec.Struct, frozen=True, kw_only=True):
    """The folder, and how the files in it are read.

    Attributes:
        mapping: name of a mapping of the settings; empty: they are readings files, or say themselves what they are.
        settle_s: [s] for which a file must not have changed to be taken for complete.
    """

    path: Path
    mapping: str = ""
    settle_s: int = 10


def checked_folder(where: str, entered: object) -> FolderSettings:
    """The folder that these keys describe, which are the fields of `FolderSettings`. Raises UsageError."""
    return FolderSettings(**checked_keys(where, as_table(where, entered), _KEYS, required=("path",)))


def _path(value: Any) -> Path:
    return Path(text(value)).expanduser()


_KEYS = {
    "path": ("path", _path),
    "mapping": ("mapping", text),
    "settle_s": ("settle_s", whole_number(0, 3600, " seconds")),
}


class Report(NamedTuple):
    """What became of a file, in words for whoever dropped it; None: nothing yet, for no fault of its own."""

    imported: bool | None
    says: str


@dataclass
class FolderWatch:
    """Looks at the folder from time to time. A file is moved only after it was taken, so that one that was being taken
    when the power went is taken again, which changes nothing."""

    settings: FolderSettings
    take: Callable[[Path], Report]
    _seen: dict[str, tuple[int, int, float]] = field(default_factory=dict)

    def run(self, stop: threading.Event, monotonic_s: Callable[[], float]) -> None:
        """Until told to stop."""
        every_s = max(0.2, min(5.0, self.settings.settle_s / 4.0))
        while not stop.wait(every_s):
            self.look(monotonic_s(), stop)

    def look(self, now_s: float, stop: threading.Event) -> int:
        """Take what is complete at `now_s` [s, of a clock that is never set]; how many files that was."""
        try:
            entries = sorted(os.scandir(self.settings.path), key=lambda entry: entry.name)
        except OSError as exc:
            _LOG.error("the folder cannot be read", extra={"folder": str(self.settings.path), "why": exc.strerror})
            return 0
        present, taken = {}, 0
        for entry in entries:
            if entry.name.startswith(".") or entry.name.endswith(_NOT_COMPLETE):
                continue
            try:
                if not entry.is_file():
                    continue
                found = entry.stat()
            except OSError:
                continue  # gone since
            size, changed_ns, since_s = self._seen.get(entry.name, (-1, -1, now_s))
            if (size, changed_ns) != (found.st_size, found.st_mtime_ns):
                since_s = now_s
            present[entry.name] = (found.st_size, found.st_mtime_ns, since_s)
            if now_s - since_s >= self.settings.settle_s and not stop.is_set():
                if self._take(Path(entry.path)):
                    del present[entry.name]
                    taken += 1
                else:
                    present[entry.name] = (found.st_size, found.st_mtime_ns, now_s)
        self._seen = present
        return taken

    def _take(self, path: Path) -> bool:
        """Whether it is done with."""
        report = self.take(path)
        if report.imported is None:
            _LOG.warning("a file waits until it can be taken", extra={"file": path.name, "why": report.says.strip()})
            return False
        folder = path.parent / (_DONE if report.imported else _FAILED)
        try:
            folder.mkdir(exist_ok=True)
            away = _free_name(folder, path.name)
            away.with_name(f"{away.name}.report.txt").write_text(report.says, encoding="utf-8")
            path.replace(away)
        except OSError as exc:
            _LOG.error("a file was taken but cannot be put away", extra={"file": str(path), "why": exc.strerror})
            return False
        _LOG.info("file taken", extra={"file": path.name, "imported": report.imported, "into": folder.name})
        return True


def _free_name(folder: Path, name: str) -> Path:
    stem, dot, ending = name.partition(".")
    for nth in range(1, 10_000):
        candidate = folder / (name if nth == 1 else f"{stem}-{nth}{dot}{ending}")
        if not candidate.exists():
            return candidate
    return folder / name
