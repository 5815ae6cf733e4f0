"""What storing a large log costs, beside the plainest program that puts the same file into a database.

    python tests/benchmarks/store_rows.py [ROWS] [VESSELS]

Each program runs in a process of its own, in turns; times are whole processes, start-up included. The plain one reads
the file with pyarrow and inserts four bare columns with `executemany`: no check, no key, no import on record, nothing
safe from a power cut before its single commit.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from functools import partial
from itertools import count
from pathlib import Path

from turns import in_turns, tell, write_log

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
PEAK_MIB = 250


def measure(program: str, log: Path, into: Path) -> tuple[int, float, float]:
    """Rows stored, time [s] and peak memory [MiB] of one process."""
    code = MEASURED.format(program=program)
    ran = subprocess.run([sys.executable, "-c", code, log, into], capture_output=True, text=True, check=True)
    stored, took_s, peak_mib = json.loads(ran.stdout)
    return stored, took_s, peak_mib


def main(rows: int = 1_000_000, vessels: int = 20) -> None:
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "log.csv"
        written = write_log(log, rows, vessels)
        peak: dict[str, float] = {}
        turn = count()

        def took_s(name: str, program: str) -> float:
            stored, took_s, peak_mib = measure(program, log, Path(folder) / f"{name} {next(turn)}")
            assert stored == written, f"{name} stored {stored} of {written} rows"
            peak[name] = max(peak.get(name, 0.0), peak_mib)
            return took_s

        programs = {"plain": PLAIN, "lullwort": LULLWORT}
        took = in_turns({name: partial(took_s, name, program) for name, program in programs.items()}, TURNS)
        size = {name: next(Path(folder).glob(f"{name} *")).stat().st_size / 1e6 for name in programs}
    print(f"{written} rows of {vessels} vessels")
    for name in programs:
        print(f"{name:22} peak {peak[name]:4.0f} MiB, {size[name]:5.1f} MB stored")
    tell(took, "lullwort", "plain", at_most=1.5, unit="s")
    met = peak["lullwort"] <= PEAK_MIB
    print(f"peak {peak['lullwort']:.0f} MiB; goal: at most {PEAK_MIB}, {'met' if met else 'NOT MET'}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
