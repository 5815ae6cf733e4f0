"""A folder of the card's own beside the book, for files on their way in or out: nothing stays in it."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

__all__ = ["Workroom"]


class Workroom:
    """Makes private folders in it. Beside the book, for there the service may write, wherever it runs.

    A service has its book for itself, so what lies here when it begins was left by one that was killed.
    """

    def __init__(self, book: Path) -> None:
        self.path = book.absolute().with_name(f"{book.name}.card")
        self.close()

    def folder(self) -> Path:
        """A new one that only this user can look into. Raises OSError where it cannot be made."""
        self.path.mkdir(mode=0o700, exist_ok=True)
        return Path(tempfile.mkdtemp(dir=self.path))

    def remove(self, folder: Path) -> None:
        """Remove one of them with all that is in it."""
        if folder.parent == self.path:
            shutil.rmtree(folder, ignore_errors=True)

    def close(self) -> None:
        """Remove all of it. What is not a folder is not touched: it is somebody else's."""
        if self.path.is_dir() and not self.path.is_symlink():
            shutil.rmtree(self.path, ignore_errors=True)
