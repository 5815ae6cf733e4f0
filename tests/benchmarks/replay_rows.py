"""What judging a large log costs, beside pandas reading it and taking hourly medians by vessel.

    python tests/benchmarks/replay_rows.py [ROWS] [VESSELS]

Whole processes, in turns. pandas reads the file, parses its times and computes one median for each vessel and hour:
no check, no screen, no correction, no verdict. `lullwort replay` does all of that and prints an answer with its
evidence for each batch, on all cores. A reading every four minutes gives the batches the length that they have in a
cellar, 26 days.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path

from turns import in_turns, process_seconds, tell, write_log

PANDAS = """
import sys
import pandas as pd
log = pd.read_csv(sys.argv[1], parse_dates=["time"])
medians = log.groupby(["vessel", log["time"].dt.floor("h")])["gravity"].median()
print(len(medians))
"""

BATCH = """
[[batch]]
vessel = "vessel-{v:03d}"
name = "batch-{v:03d}"
pitched = 2026-01-01T00:00:00Z
original_gravity = {original:.4f}
expected_final_gravity = [1.010, 1.012]
yeast_min_c = 15.0
"""

EVERY_MIN = 4
TURNS = 5


def main(rows: int = 1_700_000, vessels: int = 180) -> None:
    with tempfile.TemporaryDirectory() as folder:
        log, batches = Path(folder) / "log.csv", Path(folder) / "batches.toml"
        written = write_log(log, rows, vessels, every_min=EVERY_MIN)
        batches.write_text("".join(BATCH.format(v=v, original=1.0490 + 0.0001 * (v % 20)) for v in range(vessels)))
        replay: list[str | Path] = ["-m", "lullwort", "replay", log, "--batches", batches]
        check(replay, written, vessels)
        took = in_turns(
            {
                "pandas": lambda: process_seconds(["-c", PANDAS, log]),
                "lullwort replay": lambda: process_seconds(replay),
            },
            TURNS,
        )
    print(f"{written} rows of {vessels} vessels")
    tell(took, "lullwort replay", "pandas", at_most=10.0, unit="s")


def check(replay: list[str | Path], rows: int, vessels: int) -> None:
    """The measured command has judged every batch and looked at every reading of a closed hour."""
    ran = subprocess.run([sys.executable, *replay, "--json"], capture_output=True, text=True, check=True)
    entries = json.loads(ran.stdout)["vessels"]
    looked_at = sum(entry["readings"]["used"] + entry["readings"]["passed_over"] for entry in entries)
    of_the_open_hour = vessels * 60 // EVERY_MIN
    assert len(entries) == vessels, f"{len(entries)} batches judged of {vessels}"
    assert rows - of_the_open_hour <= looked_at <= rows, f"{looked_at} of {rows} readings looked at"


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
