"""Names of files that are safe whatever somebody called a file, or a batch."""

from __future__ import annotations

import re
import unicodedata

from lullwort.plaintext import plain_text

__all__ = ["safe_name"]

_MOST_LETTERS = 60
_OTHER = re.compile(r"(?:%22|%0A|%0D|[^\w.-])+")
# The first three are how browsers write a quote and the ends of a line [HTML, multipart/form-data encoding].


def safe_name(given: str, otherwise: str) -> str:
    """The last part of a path as letters, digits, points, dashes and underlines; `otherwise` where nothing is left.

    >>> safe_name("../../etc/passwd", "log"), safe_name('C:\\\\cellar\\\\a "b"' + chr(10) + ".CSV", "log")
    ('passwd', 'a-b-.CSV')
    >>> safe_name("a%22b%0D%0A.csv", "log")
    'a-b-.csv'
    >>> safe_name("-rf .", "log"), safe_name("Gärung Süd.csv", "log"), safe_name("/", "log")
    ('rf', 'Gärung-Süd.csv', 'log')
    """
    last = re.split(r"[/\\]", plain_text(unicodedata.normalize("NFC", given)))[-1]
    stem, point, suffix = _OTHER.sub("-", last).strip(".-_").rpartition(".")
    if not point:
        stem, suffix = suffix, ""
    return f"{stem[:_MOST_LETTERS]}{point}{suffix[:10]}".strip(".-_") or otherwise
