"""What the command loads before it knows what is wanted: next to nothing but click."""

from __future__ import annotations

import subprocess
import sys

LOADED = """
import sys
before = set(sys.modules)  # whoever measures coverage has loaded much already
from lullwort.cli import main
sys.argv = ["lullwort", "--help"]
try:
    main()
finally:
    print(*sorted(name for name in set(sys.modules) - before if "." not in name), sep="\\n", file=sys.stderr)
"""

HEAVY = {"msgspec", "numpy", "pandas", "pathlib", "platformdirs", "pyarrow", "rich", "scipy", "sqlite3", "tomllib"}


def test_help_loads_nothing_heavy() -> None:
    run = subprocess.run([sys.executable, "-c", LOADED], capture_output=True, text=True, check=True)
    assert run.stdout.startswith("Usage: lullwort")
    loaded = set(run.stderr.split())
    assert "click" in loaded
    assert not loaded & HEAVY
