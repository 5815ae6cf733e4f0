"""Valid logs, mutilated: whatever comes of them, it is a sentence or readings, and every row is accounted for."""

from __future__ import annotations

import io
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lullwort.collector import Mapping, open_log, propose_mapping
from lullwort.errors import SourceError, UsageError

OWN = "time,vessel,gravity,temperature\n" + "".join(f"2026-03-{d:02d}T09:00Z,north,1.05,20.1\n" for d in range(1, 30))
GERMAN = "Keller;;;\nDatum;Uhrzeit;Extrakt [°P];Temp\n" + "".join(
    f"{d:02d}.03.2026;09:{d:02d};12,{d % 10};19,5\n" for d in range(1, 30)
)
BLANKS = "".join(f"{1772442000 + 600 * i} 1.05{i % 10} 20.{i % 10}\n" for i in range(30))


def parquet() -> bytes:
    out = io.BytesIO()
    count = 40
    columns = {"time": [1772442000 + 600 * i for i in range(count)], "vessel": ["north"] * count}
    pq.write_table(pa.table({**columns, "gravity": [1.05] * count, "temperature": [20.0] * count}), out)
    return out.getvalue()


NUMBERED: dict[str, tuple[str, ...]] = {"time": ("#1",), "gravity": ("#2",), "temperature": ("#3",)}
VALID: dict[str, tuple[bytes, Mapping]] = {
    "own": (OWN.encode(), Mapping()),
    "german": (GERMAN.encode(), Mapping(vessel="west", zone="Europe/Berlin")),
    "german in windows-1252": (
        GERMAN.encode("windows-1252"), Mapping(vessel="west", zone="Europe/Berlin", encoding="windows-1252")
    ),
    "german in utf-16": (GERMAN.encode("utf-16"), Mapping(vessel="west", zone="Europe/Berlin", encoding="utf-16")),
    "blanks": (BLANKS.encode(), Mapping(columns=NUMBERED, vessel="x", times="unix", header=False)),
    "parquet": (parquet(), Mapping(times="unix")),
}  # fmt: skip


def take(path: Path, mapping: Mapping) -> tuple[int, int, set[int]]:
    """Readings, rows set aside, and the lines of all of them."""
    readings = aside = 0
    lines: set[int] = set()
    with open_log(path, mapping) as log:
        for block, rows in log.blocks():
            readings += len(block)
            aside += len(rows)
            lines |= {*block.line.tolist(), *(row.line for row in rows)}
    return readings, aside, lines


@pytest.mark.parametrize("kind", VALID)
def test_the_valid_ones_are_read_whole(tmp_path: Path, kind: str) -> None:
    content, stated = VALID[kind]
    path = tmp_path / "log"
    path.write_bytes(content)
    proposal = propose_mapping(path, stated)
    assert proposal.doubts == ()
    readings, aside, _ = take(path, proposal.mapping)
    assert (readings, aside) == ({"blanks": 30, "parquet": 40}.get(kind, 29), 0)


@pytest.mark.no_cover
@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    kind=st.sampled_from(sorted(VALID)),
    changes=st.lists(st.tuples(st.floats(0.0, 1.0), st.binary(max_size=3), st.integers(0, 40)), min_size=1, max_size=4),
    propose=st.booleans(),
)
def test_mutilated_ones_end_in_a_sentence_or_in_rows_that_add_up(
    tmp_path: Path, kind: str, changes: list[tuple[float, bytes, int]], propose: bool
) -> None:
    content, stated = VALID[kind]
    for where, put, taken in changes:
        at = int(where * len(content))
        content = content[:at] + put + content[at + taken :]
    path = tmp_path / "log"
    path.write_bytes(content)
    try:
        mapping = propose_mapping(path, stated).mapping if propose else stated
        readings, aside, lines = take(path, mapping)
    except (SourceError, UsageError) as refused:
        sentence = str(refused)
    else:
        sentence = ""
    if sentence:
        assert sentence.startswith(str(path))
        return
    assert readings + aside == len(lines)
    if kind == "own" and not propose and b'"' not in content and content.isascii() and b"\0" not in content:
        text = content.decode().replace("\r\n", "\n").replace("\r", "\n").split("\n")
        rows = [line for line in text if line.strip().strip(",; \t|")]
        assert readings + aside == len(rows) - 1
