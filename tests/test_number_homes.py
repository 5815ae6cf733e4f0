"""A number becomes words in one place, so that its unit and its decimal mark are those that its reader asked for.

This reads the sources: a float that is formatted anywhere else is found, unless the file stands here with the reason.
Formats without decimals (`.0f`) are free, for they have no mark.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import pytest

import lullwort

pytestmark = pytest.mark.no_cover  # for it reads the sources and runs none of them

ROOT = Path(lullwort.__file__).parent
ALLOWED = {
    "card/curve/drawing.py": "coordinates",
    "detector/brewerunits.py": "the home of all others",
    "alerts/wording.py": "{points:g} in the name by which an alert is known again",
    "forecast/plan.py": "{points:g} in the name by which an event of a calendar is known again",
    "detector/nextbatch.py": "a command to be copied",
    "cli/gasvalues.py": "what may be typed instead",
    "cli/values.py": "what was typed, and what may be typed instead",
    "collector/entries/batchcheck.py": "what was entered, as batches files write it",
    "collector/entries/packagingcheck.py": "what may be entered, as batches files write it",
    "collector/entries/keycheck.py": "what may be entered, as batches files write it",
    "collector/table/doubts.py": "what a file says, with the file's own mark",
    "analysis/screen.py": "names of reasons; `why_passed_over` says them",
    "analysis/nocurve.py": "an error as programs read it; its command words it anew",
    "cellarbook/database.py": "an error about the machine",
    "science/extract.py": "an error of a formula",
    "science/numerics.py": "an error of a formula",
    "exporting/curvelines.py": "coordinates",
    "exporting/curvemarks.py": "coordinates",
    "exporting/curvepanel.py": "coordinates",
    "exporting/overlay.py": "coordinates",
    "exporting/senmlfile.py": "a file format",
    "rehearsal/picture.py": "coordinates",
    "rehearsal/writers.py": "a file format",
    "tend/health.py": "a format that programs read",
}
PICTURES = (
    "card/curve/drawing.py", "exporting/curvelines.py", "exporting/curvemarks.py", "exporting/curvepanel.py",
    "exporting/overlay.py", "rehearsal/picture.py",
)  # fmt: skip
WORDED = ("detector", "forecast", "alerts", "packaging_day")
PROSE_ALLOWED = {"alerts/cloudevent.py": "versions of a format"}


def name(path: Path) -> str:
    return str(path.relative_to(ROOT))


@lru_cache(4)
def nodes(path: Path) -> list[ast.AST]:
    """All that a file consists of."""
    return list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


def formats_with_a_mark(path: Path) -> Iterator[str]:
    """The formats in a file that may put a decimal mark or group thousands."""
    for node in nodes(path):
        match node:
            case ast.FormattedValue(value=ast.Call(func=ast.Name("round"), args=[_, _])):
                yield "round"
            case ast.FormattedValue(format_spec=ast.JoinedStr(values=parts)):
                spec = "".join(str(part.value) if isinstance(part, ast.Constant) else "?" for part in parts)
                if re.search(r"[,_]|[eEfFgGn%]$", spec) and not re.search(r"\.0[f%]$", spec):
                    yield spec
            case ast.Call(func=ast.Name("format")):
                yield "format"
            case ast.BinOp(left=ast.Constant(str()), op=ast.Mod()):
                yield "%"


def prose_with_a_mark(path: Path) -> Iterator[str]:
    """Words of a file in which a number stands with its decimals, docstrings and formulas to be explained left out."""
    notes = {id(node.value) for node in nodes(path) if isinstance(node, ast.Expr)}
    for node in nodes(path):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Explained":
            notes |= {id(part) for part in ast.walk(node)}
    for node in nodes(path):
        match node:
            case ast.Constant(str(words)) if id(node) not in notes and re.search(r"[0-9][.,][0-9]", words):
                yield words


FILES = sorted(ROOT.rglob("*.py"))


def allowed_in(path: Path, spec: str) -> bool:
    """Whether a format may stand there."""
    return spec == ".1f" if name(path) in PICTURES else name(path) in ALLOWED


def test_no_number_is_made_into_words_outside_its_home() -> None:
    assert len(FILES) > 300
    found = {name(path): [spec for spec in formats_with_a_mark(path) if not allowed_in(path, spec)] for path in FILES}
    assert {file: specs for file, specs in found.items() if specs} == {}, "let `Units` say it"


def test_no_decimals_stand_in_what_is_said() -> None:
    worded = [path for path in FILES if name(path).split("/")[0] in WORDED]
    assert len(worded) > 90
    found = {name(path): list(prose_with_a_mark(path)) for path in worded if name(path) not in PROSE_ALLOWED}
    assert {file: words for file, words in found.items() if words} == {}


def test_whoever_is_excused_has_something_to_be_excused_for() -> None:
    for listed, finds in ((ALLOWED, formats_with_a_mark), (PROSE_ALLOWED, prose_with_a_mark)):
        assert [file for file in listed if not list(finds(ROOT / file))] == []


def test_the_search_finds_what_it_is_for(tmp_path: Path) -> None:
    source = tmp_path / "wording.py"
    formatted = 'f"{b:.1f} {c:,} {d:>8.{e}g} {round(f, 2)} {g:.0f} {h:>4}"'
    source.write_text(f'"""1.5"""\na = {formatted}\ni = "at 1.010", Explained("1.5")\nj = "%f" % k\n')
    assert sorted(formats_with_a_mark(source)) == sorted(["%", ".1f", ",", ">8.?g", "round"])
    assert list(prose_with_a_mark(source)) == ["at 1.010"]
