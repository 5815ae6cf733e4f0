"""What a brewer sees at a real terminal, narrow as a phone or wide, and what another program gets."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

Shell = Any  # the fixture's class lives in conftest.py

WIDTHS = [40, 60, 80, 120]
WORDS = "tasted of pears, clear, no skin on top and nothing to complain about, but a little thin for what it is"


@pytest.fixture
def kept(stored: Shell) -> Shell:
    """A book with a batch that has notes, a vessel without one, and an import that was withdrawn."""
    stored("note", "north-12", "rouse", "--at", "2026-07-27T06:00Z", "--words", WORDS)
    stored("rehearse", "stuck warm", "--vessel", "south")
    stored("backfill", "south.csv", "--store-only")
    stored("backfill", "south.csv", "--log-temperature", "F", "--store-only")
    stored("withdraw", stored("withdraw").stdout.splitlines()[2].split()[0])
    return stored


@pytest.mark.no_cover
def test_no_line_is_wider_than_the_terminal_and_none_wider_than_reads_well(kept: Shell) -> None:
    for words in [
        ("batch", "list"), ("withdraw",), ("verdict",), ("verdict", "north-12"), ("verdict", "norht"),
        ("batch", "open", "east", "--pitched", "2026-07-19T00:00Z", "--yeast-min", "200F"),
        ("backfill", "north.csv"),
    ]:  # fmt: skip
        for width in WIDTHS if words[0] == "verdict" else (40, 120):
            shown = kept.at_terminal(width, *words)
            assert shown
            assert max(map(len, shown)) <= min(width, 100), words


def test_wrapped_lines_say_what_whole_ones_do_and_stand_deeper(kept: Shell) -> None:
    for words in [("batch", "list"), ("withdraw",)]:
        whole = kept(*words).stdout
        shown = kept.at_terminal(40, *words)
        assert len(shown) > len(whole.splitlines())
        assert " ".join(" ".join(shown).split()) == " ".join(whole.split())
        starts = [line for line in shown if not line.startswith("    ")]
        assert len(starts) == len(whole.splitlines())


def test_into_another_program_each_thing_is_one_line_whatever_the_width(kept: Shell) -> None:
    narrow = {"COLUMNS": "40"}
    assert [line.partition(":")[0].strip() for line in kept("batch", "list", env=narrow).stdout.splitlines()] == [
        "north-12", "rouse Mon 27 Jul 2026 06", "vessel south",
    ]  # fmt: skip
    assert len(kept("withdraw", env=narrow).stdout.splitlines()) == 3


def test_the_ledger_at_a_narrow_terminal_leaves_nothing_out(kept: Shell) -> None:
    shown = kept.at_terminal(40, "verdict", "north-12")
    assert not any("…" in line for line in shown)
    text = " ".join(" ".join(shown).split())
    assert "holds? check: what was seen" in text
    assert "undisturbed: " in text


@pytest.mark.parametrize("width", WIDTHS)
def test_a_dry_run_is_wrapped_but_for_what_is_there_to_be_copied(lullwort: Shell, width: int) -> None:
    rows = "".join(f"{20 + i // 24}.03.2026 {i % 24}:00;{12.9 - i / 40:.2f};19,{i % 9}\n" for i in range(200))
    lullwort.write("keller-haus-zwei.csv", "Zeitpunkt;Restextrakt (%mas);Temperatur im Keller\n" + rows)
    words = ("backfill", "keller-haus-zwei.csv", "--dry-run", "--zone", "Europe/Berlin", "--vessel", "west")
    shown = lullwort.at_terminal(width, *words)
    command = "  lullwort backfill keller-haus-zwei.csv --zone Europe/Berlin --vessel west"
    assert shown[-1] == f"{command} --decimal-COMMA-OR-POINT --log-gravity UNIT --as-proposed"
    start = shown.index("  [mapping.NAME]")
    end = next(i for i, line in enumerate(shown) if line.startswith("To read it so"))
    (mapping,) = tomllib.loads("\n".join(shown[start:end]))["mapping"].values()
    assert mapping["columns"]["temperature"] == ["Temperatur im Keller"]
    assert max(map(len, [*shown[:start], *shown[end:-1]])) <= min(width, 100)
