"""The house rules that a test can hold: imports point one way, and public names exist."""

from __future__ import annotations

import ast
import importlib
from functools import cache
from pathlib import Path

import pytest

import lullwort

pytestmark = pytest.mark.no_cover  # for it reads the sources and runs none of them

ROOT = Path(lullwort.__file__).parent
ORDER = [
    "errors", "leash", "faults", "explained", "decimalmark", "plaintext", "counting", "units", "records", "science",
    "analysis",
    "detector",
    "forecast", "cellarbook", "collector", "packaging_day", "standing", "exporting", "alerts",
    "rehearsal", "settings", "card", "tend", "cli",
]  # fmt: skip
WITHIN_CARD = ["pages", "known", "door", "commands", "curve", "files", "vessels", "forms", "live", "imports", "told"]


def layer(module: str) -> str:
    return module.split(".")[1]


@cache
def named(path: Path) -> set[str]:
    """The modules that a file imports, or imports from."""
    found = set[str]()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return found


MODULES = sorted(p for p in ROOT.rglob("*.py") if p.parent != ROOT or p.stem in ORDER)
PACKAGES = sorted(ROOT.rglob("__init__.py"))


def test_imports_point_one_way() -> None:
    assert len(MODULES) > 300
    wrong = [
        f"{path.relative_to(ROOT)} imports {imported}"
        for path in MODULES
        for imported in sorted(name for name in named(path) if name.startswith("lullwort."))
        if ORDER.index(layer(imported)) > ORDER.index(path.relative_to(ROOT).parts[0].removesuffix(".py"))
    ]
    assert wrong == []


CARD = ROOT / "card"


def test_imports_within_the_card_point_one_way() -> None:
    files = sorted(CARD.glob("*/*.py"))
    assert len(files) > 30
    wrong = [
        f"{path.relative_to(CARD)} imports {imported}"
        for path in files
        for imported in sorted(name for name in named(path) if name.startswith("lullwort.card."))
        if imported.split(".")[2] not in WITHIN_CARD[: WITHIN_CARD.index(path.parent.name) + 1]
    ]
    assert wrong == []


def test_public_names_are_listed_in_order_and_really_import() -> None:
    assert len(PACKAGES) > 20
    for path in PACKAGES:
        name = ".".join(["lullwort", *path.parent.relative_to(ROOT).parts])
        module = importlib.import_module(name)
        in_order = sorted(module.__all__, key=lambda n: (not n.isupper(), not n[0].isupper(), n))
        assert list(module.__all__) == in_order, name
        assert [public for public in module.__all__ if not hasattr(module, public)] == [], name
        assert module.__doc__, name


def test_pure_layers_know_no_clock_and_no_files() -> None:
    for package in ("records", "science", "analysis", "detector", "forecast"):
        for path in (ROOT / package).rglob("*.py"):
            assert not named(path) & {"time", "pathlib", "os", "logging", "sqlite3", "pandas", "pyarrow"}, path
