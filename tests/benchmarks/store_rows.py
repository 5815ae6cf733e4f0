"""What storing a large log costs, beside the plainest program that puts the same file into a database.

    python tests/benchmarks/store_rows.py [ROWS] [VESSELS]

Each program runs in a process of its own, in turns; times are whole processes, start-up included. The plain one reads
the file with pyarrow and inserts four bare columns with `executemany`: no check, no key, no import on record, nothing
safe from a power cut before its single commit.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

PLAIN = """
import sqlite3, sys
import pyarrow.csv
table = pyarrow.csv.read_csv(sys.argv[1])
connection = sqlite3.connect(sys.argv[2])
connection.execute("CREATE TABLE reading (time INTEGER, vessel TEXT, gravity REAL, temperature REAL)")
columns = [table["time"].cast("int64"), table["vessel"], table["gravity"], table["temperature"]]
rows = zip(*(column.to_pylist() for column in columns))
connection.executemany("INSERT INTO reading VALUES (?, ?, ?, ?)", rows)
connection.commit()
(stored,) = connection.execute("SELECT count(*) FROM reading").fetchone()
"""

LULLWORT = """
import sys
from pathlib import Path
from lullwort.cellarbook import Intake, open_book
from lullwort.collector import Mapping, open_log
with open_book(Path(sys.argv[2])) as book, open_log(Path(sys.argv[1]), Mapping()) as log:
    run = book.imports.begin(Intake("csv", sys.argv[1], log.sha256), 1)
    for block, set_aside in log.blocks():
        run.store(block, set_aside)
    stored = run.finish(2).stored
"""

MEASURED = """
import json, resource, time
began = time.perf_counter()
{program}
took = time.perf_counter() - began
print(json.dumps([stored, took, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""

TURNS = 5


def write_log(path: Path, rows: int, vessels: int) -> None:
    """An invented log, a reading a minute of each vessel, in order of time."""
    rng = np.random.default_rng(20260302)
    minutes = rows // vessels
    start = np.datetime64("2026-01-01T00:00:00")
    with path.open("w") as file:
        file.write("time,vessel,gravity,temperature\n")
        for minute in range(minutes):
            time = f"{start + np.timedelta64(minute, 'm')}Z"
            gravity = 1.050 - 0.040 * minute / minutes + rng.normal(0.0, 1e-4, vessels)
            temp_c = 20.0 + rng.normal(0.0, 0.1, vessels)
            file.writelines(
                f"{time},vessel-{v:03d},{g:.4f},{t:.2f}\n"
                for v, (g, t) in enumerate(zip(gravity.tolist(), temp_c.tolist(), strict=True))
            )


def measure(program: str, log: Path, into: Path) -> tuple[int, float, float]:
    """Rows stored, time [s] and peak memory [MiB] of one process."""
    code = MEASURED.format(program=program)
    ran = subprocess.run([sys.executable, "-c", code, log, into], capture_output=True, text=True, check=True)
    stored, took_s, peak_mib = json.loads(ran.stdout)
    return stored, took_s, peak_mib


def main(rows: int = 1_000_000, vessels: int = 20) -> None:
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "log.csv"
        write_log(log, rows, vessels)
        took: dict[str, list[float]] = {"plain": [], "lullwort": []}
        peak: dict[str, float] = {}
        for turn in range(TURNS):
            for name, program in (("plain", PLAIN), ("lullwort", LULLWORT)):
                stored, took_s, peak_mib = measure(program, log, Path(folder) / f"{name}{turn}")
                assert stored == rows // vessels * vessels, f"{name} stored {stored} of {rows} rows"
                took[name].append(took_s)
                peak[name] = max(peak.get(name, 0.0), peak_mib)
        size = {name: (Path(folder) / f"{name}0").stat().st_size / 1e6 for name in took}
        for name in took:
            print(f"{name:9} {statistics.median(took[name]):6.2f} s  peak {peak[name]:4.0f} MiB  {size[name]:5.1f} MB")
        ratios = [ours / plain for ours, plain in zip(took["lullwort"], took["plain"], strict=True)]
        print(f"ratio {statistics.median(ratios):.2f} ({min(ratios):.2f} to {max(ratios):.2f})")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
