"""The house rules that a test can hold: imports point one way, and public names exist."""

from __future__ import annotations

import ast
import importlib
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


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_imports_point_one_way(path: Path) -> None:
    own = path.relative_to(ROOT).parts[0].removesuffix(".py")
    for imported in {name for name in named(path) if name.startswith("lullwort.")}:
        assert ORDER.index(layer(imported)) <= ORDER.index(own), f"{own} imports {imported}"


CARD = ROOT / "card"


@pytest.mark.parametrize("path", sorted(CARD.glob("*/*.py")), ids=lambda p: str(p.relative_to(CARD)))
def test_imports_within_the_card_point_one_way(path: Path) -> None:
    own = WITHIN_CARD.index(path.parent.name)
    within = {name.split(".")[2] for name in named(path) if name.startswith("lullwort.card.")}
    assert within <= set(WITHIN_CARD[: own + 1])


@pytest.mark.parametrize("path", sorted(ROOT.rglob("__init__.py")), ids=lambda p: str(p.parent.relative_to(ROOT)))
def test_public_names_are_listed_in_order_and_really_import(path: Path) -> None:
    name = ".".join(["lullwort", *path.parent.relative_to(ROOT).parts])
    module = importlib.import_module(name)
    assert list(module.__all__) == sorted(module.__all__, key=lambda n: (not n.isupper(), not n[0].isupper(), n))
    assert all(hasattr(module, public) for public in module.__all__)
    assert module.__doc__


def test_pure_layers_know_no_clock_and_no_files() -> None:
    for package in ("records", "science", "analysis", "detector", "forecast"):
        for path in (ROOT / package).rglob("*.py"):
            assert not named(path) & {"time", "pathlib", "os", "logging", "sqlite3", "pandas", "pyarrow"}, path
