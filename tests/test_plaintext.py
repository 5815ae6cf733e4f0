"""What is left of words when nothing in them can be obeyed."""

from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from lullwort.plaintext import plain_text

# Unicode 15, PropList.txt, property Bidi_Control: all twelve.
BIDI_CONTROL = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


@given(st.text())
def test_no_control_is_left_and_nothing_else_is_lost(text: str) -> None:
    plain = plain_text(text)
    assert not [c for c in plain if c != "\n" and (c in BIDI_CONTROL or unicodedata.category(c) == "Cc")]
    assert plain_text(plain) == plain
    kept = [c for c in text if c not in BIDI_CONTROL and unicodedata.category(c) not in ("Cc", "Zl", "Zp")]
    assert [c for c in plain.replace("\n", "") if c != " "] == [c for c in kept if c != " "]


def test_every_character_that_turns_the_direction_goes_and_letters_of_any_script_stay() -> None:
    assert plain_text(f"a{BIDI_CONTROL}b\x1b\x07\x9b\x00") == "ab"
    for words in ("Hefeweizen für Jürgen", "пиво", "שיכר", "ビール", "🍺 90 °C"):
        assert plain_text(words) == words
