from __future__ import annotations

import io

from hypothesis import given
from hypothesis import strategies as st

from lullwort.collector.table.textchunks import MAX_LINE_BYTES, text_chunks


@given(st.lists(st.sampled_from([b"a", b"\n", b"\r", b"\r\n", b"bc"])), st.integers(1, 5))
def test_lines_are_those_of_the_whole_text_however_it_is_cut(parts: list[bytes], chunk_bytes: int) -> None:
    content = b"".join(parts)
    chunks = list(text_chunks(io.BytesIO(content), chunk_bytes))
    whole = content.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if whole and not whole.endswith(b"\n"):
        whole += b"\n"
    assert b"".join(chunk.text for chunk in chunks) == whole
    line = 1
    for chunk in chunks:
        assert chunk.first_line == line
        assert chunk.text.endswith(b"\n")
        line += chunk.text.count(b"\n")


def test_a_file_without_line_ends_takes_a_bounded_chunk() -> None:
    content = b"x" * (40 * MAX_LINE_BYTES)
    chunks = list(text_chunks(io.BytesIO(content), 1000))
    assert [len(chunk.text) for chunk in chunks] == [MAX_LINE_BYTES + 2]
