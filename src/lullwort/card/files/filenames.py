"""Names of files that are safe whatever somebody called a file, or a batch."""

from __future__ import annotations

import re
import unicodedata

from lullwort.plaintext import plain_text

__all__ = ["safe_name"]

_MOST_LETTERS, _MOST_OF_SUFFIX, _MOST_BYTES = 60, 10, 100
"""The bytes are of the stem. Some file systems take names of no more than 143, and a letter may take four."""
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
    >>> len(safe_name(80 * chr(0x20000) + "." + 80 * chr(0x20000), "log").encode())
    141
    """
    last = re.split(r"[/\\]", plain_text(unicodedata.normalize("NFC", given)))[-1]
    stem, point, suffix = _OTHER.sub("-", last).strip(".-_").rpartition(".")
    if not point:
        stem, suffix = suffix, ""
    short = stem[:_MOST_LETTERS].encode()[:_MOST_BYTES].decode(errors="ignore")  # never within a letter
    return f"{short}{point}{suffix[:_MOST_OF_SUFFIX]}".strip(".-_") or otherwise
