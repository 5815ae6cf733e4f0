"""Words of people in HTML and SVG, as text and nothing else."""

from __future__ import annotations

from html import escape

from lullwort.plaintext import plain_text

__all__ = ["escaped"]


def escaped(text: str) -> str:
    """`text` for an element or a quoted attribute.

    >>> escaped("warm <b>&" + chr(27) + " sweet")
    'warm &lt;b&gt;&amp; sweet'
    """
    return escape(plain_text(text))
