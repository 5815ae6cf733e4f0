"""How soon `lullwort --help` is there, beside a click program that does nothing.

    python tests/benchmarks/start_up.py [TURNS]

Whole processes, in turns.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from turns import in_turns, process_seconds, tell

EMPTY = """
import click
@click.command()
def main():
    \"""Nothing.\"""
if __name__ == "__main__":
    main()
"""


def main(turns: int = 60) -> None:
    with tempfile.TemporaryDirectory() as folder:
        empty = Path(folder) / "empty.py"
        empty.write_text(EMPTY)
        took = in_turns(
            {
                "empty click program": lambda: process_seconds([empty, "--help"]),
                "lullwort --help": lambda: process_seconds(["-m", "lullwort", "--help"]),
            },
            turns,
        )
    tell(took, "lullwort --help", "empty click program", at_most=2.0, unit="ms", scale=1000.0)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
