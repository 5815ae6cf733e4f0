"""`python -m lullwort` is the command `lullwort`."""

from __future__ import annotations

from lullwort.cli import main

if __name__ == "__main__":
    main()
