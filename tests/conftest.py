"""What the tests need that is not in the project, and what was left out for want of it."""

from __future__ import annotations

import functools
import gc
import os
import pickle
import re
import shutil
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, ParamSpec, TypeVar
from xml.etree import ElementTree

import coverage
import hypothesis
import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

OPEN_DATA = "LULLWORT_OPEN_DATA"
REQUIRE_MOSQUITTO = "LULLWORT_REQUIRE_MOSQUITTO"
REQUIRE_CHROMIUM = "LULLWORT_REQUIRE_CHROMIUM"
CONFIG = Path(__file__).parents[1] / "config"
WAIT_S = 20.0
P = ParamSpec("P")
R = TypeVar("R")

# What commands print depends on where their user is at home, what they are expected to print does not.
os.environ["LC_ALL"] = "C.UTF-8"

# As the command sets it for itself, but before any test loads numpy: beside others, a process whose threads wait for
# one another takes ten times the work.
os.environ["OPENBLAS_NUM_THREADS"] = "1"

# Where what was compiled is not kept, every process of the tests and every one that a test begins compiles all anew.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# Coverage began to measure this process as one that another began, and pytest-cov measures it too. Had the first not
# stopped, it would go on where the second pauses for a test marked `no_cover`.
if "PYTEST_XDIST_WORKER" in os.environ:
    while (begun := coverage.Coverage.current()) is not None:
        begun.stop()

# How long an example takes tells of who else is at work here; how long it may take is held by the benchmarks.
hypothesis.settings.register_profile(
    "lullwort", hypothesis.settings(), deadline=None, suppress_health_check=[hypothesis.HealthCheck.too_slow]
)
hypothesis.settings.load_profile("lullwort")

# What waits for a broker, a disk or a clock more than it works: begun first, while the other processes work.
WAITS = (
    "tests/tend/", "tests/collector/test_broker_link.py", "tests/test_config.py", "tests/alerts/test_delivery.py",
    "tests/card/live/test_live", "tests/card/test_whole_card.py", "tests/cli/test_backfill_killed.py",
    "tests/cli/test_book_faults.py", "tests/cli/test_sheet_printed.py",
)  # fmt: skip


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: not item.nodeid.startswith(WAITS))


@contextmanager
def unmeasured_here(where: bool = True) -> Iterator[None]:
    """This process does not measure coverage meanwhile, if `where` is true."""
    measuring = coverage.Coverage.current() if where else None
    if measuring is None:
        yield
        return
    measuring.stop()
    try:
        yield
    finally:
        measuring.start()


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """What runs as modules are loaded is the same in each process of xdist, and one of them measures it."""
    with unmeasured_here(os.environ.get("PYTEST_XDIST_WORKER", "gw0") != "gw0"):
        collected = yield
        leave_reckoning_to_its_own_tests()
        reckon_the_same_once()
    gc.freeze()  # for what was collected stays: to look through it for garbage takes a second each time
    return collected


@pytest.hookimpl(wrapper=True)
def pytest_runtest_setup(item: pytest.Item) -> Generator[None]:
    """What a test marked `no_cover` is given is made without measuring coverage, as the test itself runs."""
    global running
    running = item.nodeid
    with unmeasured_here(item.get_closest_marker("no_cover") is not None):
        return (yield)


running = ""
"""The test that runs, or that ran last."""

# Half of what a command or a page takes is spent on closing hours, on solving equations and on ranges, five times as
# much where that is measured. So it is measured in their own tests, and coverage pauses meanwhile in all others. What a
# sensor was found to answer, and a step into the warm, are judged in tests of commands alone.
OF_REASON = (
    "tests/analysis/", "tests/detector/", "tests/forecast/", "tests/rehearsal/", "tests/science/", "src/",
    "tests/cli/test_sensor.py", "tests/cli/test_split.py",
)  # fmt: skip
OF_PACKAGING = ("tests/packaging_day/", "src/")


def leave_reckoning_to_its_own_tests() -> None:
    if (judge := sys.modules.get("lullwort.detector.batchjudge")) is not None:
        for name in ("add", "advance"):
            setattr(judge.BatchJudge, name, paused(getattr(judge.BatchJudge, name), OF_REASON))
    for package, home, name, own in (
        ("lullwort.science", "numerics", "solve_increasing", OF_REASON),
        ("lullwort.packaging_day", "uncertain", "ranges", OF_PACKAGING),
    ):
        if (found := sys.modules.get(f"{package}.{home}")) is not None:
            function = getattr(found, name)
            pausing = paused(function, own)
            for module in [module for each, module in sys.modules.items() if each.startswith(f"{package}.")]:
                if getattr(module, name, None) is function:
                    setattr(module, name, pausing)


OF_JUDGING = (*OF_REASON, "tests/standing/", "tests/tend/")
KEPT, KEPT_B = 64, 1_000_000


def reckon_the_same_once() -> None:
    """What commands and pages judge and foresee is often what the test before did: a batch and readings as they were.

    Both are pure functions of those [tests/detector/test_history_is_pure.py]. So each test is given an answer of its
    own, but it is found once; not in tests of judging itself, nor of the service, which judges as readings come.
    """
    for module, name in (("judging", "judge"), ("foreseeing", "foreseen")):
        if (home := sys.modules.get(f"lullwort.standing.{module}")) is not None:
            setattr(home, name, once(getattr(home, name), OF_JUDGING))


def once(function: Callable[P, R], own: tuple[str, ...]) -> Callable[P, R]:
    """The same for arguments that are the same throughout, unless the test is one of its `own`."""

    @functools.lru_cache(KEPT)
    def kept(given: bytes) -> bytes:
        args, named = pickle.loads(given)
        return pickle.dumps(function(*args, **named))

    @functools.wraps(function)
    def answering(*args: P.args, **kwargs: P.kwargs) -> R:
        given = b"" if running.startswith(own) else pickle.dumps((args, kwargs))
        if not 0 < len(given) < KEPT_B:
            return function(*args, **kwargs)
        answer: R = pickle.loads(kept(given))
        return answer

    return answering


def paused(function: Callable[P, R], own: tuple[str, ...]) -> Callable[P, R]:
    """The same, but coverage pauses meanwhile unless the test is one of its `own`.

    The tracer itself is stopped and begun: that leaves it where it is in the functions that called this one, which
    stopping all of coverage does not.
    """

    @functools.wraps(function)
    def pausing(*args: P.args, **kwargs: P.kwargs) -> R:
        tracer: Any = None if running.startswith(own) else sys.gettrace()
        if not (hasattr(tracer, "stop") and hasattr(tracer, "start")):  # there is none, or one that is no matter
            return function(*args, **kwargs)
        tracer.stop()
        try:
            return function(*args, **kwargs)
        finally:
            tracer.start()

    return pausing


@pytest.fixture(scope="session")
def open_data() -> Path:
    """The folder of open data sets that the variable LULLWORT_OPEN_DATA names; without the variable, left out."""
    named = os.environ.get(OPEN_DATA)
    if named is None:
        pytest.skip(f"left out: checks on real series from open data sets, for {OPEN_DATA} names no folder")
    folder = Path(named)
    assert folder.is_dir(), f"{OPEN_DATA} names {folder}, which is no folder"
    return folder


class CellarBroker:
    """The real broker with the settings of config/, in a folder and on a port of its own.

    A user's password is its name and `-word`. At `tls_port` it proves itself by the authority in cellar-ca.crt.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        with socket.socket() as plain, socket.socket() as tls:
            plain.bind(("127.0.0.1", 0))
            tls.bind(("127.0.0.1", 0))
            self.port, self.tls_port = int(plain.getsockname()[1]), int(tls.getsockname()[1])
        text = (CONFIG / "mosquitto.conf").read_text(encoding="utf-8").replace("/etc/mosquitto/", f"{folder}/")
        text = text.replace("\nlistener 1883", f"\nlistener {self.port}")
        text = text.replace("# listener 8883", f"listener {self.tls_port} 127.0.0.1")
        for key in ("cafile", "certfile", "keyfile"):
            text = text.replace(f"# {key} {folder}/certs/", f"{key} {folder}/")
        text += f"persistence_location {folder}/\n"
        if os.geteuid() == 0:  # the broker would go on as a user of its own, who may not write here
            text += "user root\n"
        self.settings = folder / "here.conf"
        self.settings.write_text(text, encoding="utf-8")
        shutil.copy(CONFIG / "mosquitto.acl", folder / "lullwort.acl")
        passwords = folder / "lullwort.passwd"
        passwords.write_text("".join(f"{user}:{user}-word\n" for user in ("lullwort", "sensors", "viewer")))
        made_for = ["sh", str(CONFIG / "certificates.sh"), "localhost", "127.0.0.1"]
        subprocess.run(made_for, cwd=folder, check=True, capture_output=True, timeout=WAIT_S)
        subprocess.run(["mosquitto_passwd", "-U", passwords], check=True, timeout=WAIT_S)
        self.start()

    def start(self) -> None:
        program = shutil.which("mosquitto") or "/usr/sbin/mosquitto"
        self.process = subprocess.Popen([program, "-c", self.settings], stderr=subprocess.PIPE, text=True)
        assert self.process.stderr is not None
        said: list[str] = []
        while not (said and said[-1].endswith("running\n")):
            said.append(self.process.stderr.readline())
            assert said[-1], "".join(said)
        threading.Thread(target=self.process.communicate, daemon=True).start()  # a full pipe would stop it

    def has_saved(self, words: bytes) -> bool:
        """Whether they stand in what it would have again after a loss of power; it saves once a second."""
        saved = self.folder / "mosquitto.db"
        return saved.exists() and words in saved.read_bytes()

    def kill(self) -> None:
        self.process.kill()
        self.process.wait(WAIT_S)


@pytest.fixture
def cellar_broker(tmp_path_factory: pytest.TempPathFactory) -> Iterator[CellarBroker]:
    """A running broker. Left out where there is none, unless the variable LULLWORT_REQUIRE_MOSQUITTO asks for it."""
    if shutil.which("mosquitto") is None and shutil.which("mosquitto", path="/usr/sbin") is None:
        if os.environ.get(REQUIRE_MOSQUITTO):
            pytest.fail(f"mosquitto is not installed, and {REQUIRE_MOSQUITTO} requires it")
        pytest.skip("left out: checks with a real broker, for mosquitto is not installed")
    broker = CellarBroker(tmp_path_factory.mktemp("broker"))
    yield broker
    broker.kill()


@pytest.fixture(scope="session")
def chromium() -> str:
    """A real browser's program. Left out where there is none, unless LULLWORT_REQUIRE_CHROMIUM asks for it."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        if os.environ.get(REQUIRE_CHROMIUM):
            pytest.fail(f"chromium is not installed, and {REQUIRE_CHROMIUM} requires it")
        pytest.skip("left out: pages in a real browser, for chromium is not installed")
    return found


ALONE = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    """One browser for a file of tests, closed before anything else runs: while it is open its thread has a loop."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=list(ALONE))
        yield opened
        opened.close()


@pytest.fixture
def unmeasured(monkeypatch: pytest.MonkeyPatch) -> None:
    """No process that the test begins measures coverage, which would make it twice as long."""
    for name in [name for name in os.environ if name.startswith("COV")]:
        monkeypatch.delenv(name)


class Disk(NamedTuple):
    """A place to write to that can be full, or refuse to be written."""

    folder: Path

    def remount(self, options: str) -> None:
        subprocess.run(["mount", "-o", f"remount,{options}", self.folder], check=True)


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Disk]:
    """A real file system of 600 KiB. Left out without the right to mount one: elsewhere a limit stands in for it."""
    folder = tmp_path / "disk"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=600k", "tmpfs", str(folder)]
    try:
        mounted = subprocess.run(command, capture_output=True, check=False).returncode == 0
    except OSError:
        mounted = False
    if not mounted:
        pytest.skip("left out: a file system of its own, for this process may not mount one; a limit stands in for it")
    yield Disk(folder)
    subprocess.run(["umount", folder], check=True)


@pytest.fixture
def counted(record_property: Callable[[str, object], None]) -> Callable[..., None]:
    """Tells, after all tests, what came of the readings that a fault had to be survived with."""

    def count(fault: str, **counts: int) -> None:
        record_property("counted", f"{fault}: {', '.join(f'{name} {n:,}' for name, n in counts.items())}")

    return count


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say what did not run, so that a skipped test is never taken for a passed one, and what faults did."""
    reasons = [report.longrepr[2] for report in terminalreporter.stats.get("skipped", [])]
    for reason in sorted(set(reasons)):
        terminalreporter.write_line(f"{reasons.count(reason)} tests {reason.removeprefix('Skipped: ')}")
    told = (report.user_properties for report in terminalreporter.stats.get("passed", []))
    for line in sorted(str(value) for properties in told for name, value in properties if name == "counted"):
        terminalreporter.write_line(line)


def _drawn_points(path: str) -> list[list[tuple[float, float]]]:
    """The strokes of an SVG path of lines (SVG 2, 9.3), as points."""
    words = iter(re.findall(r"[A-Za-z]|-?(?:\d+(?:\.\d*)?|\.\d+)", path))
    strokes: list[list[tuple[float, float]]] = []
    x, y, command = 0.0, 0.0, ""
    for word in words:
        if word.isalpha():
            command = word
            if command in "zZ":
                x, y = strokes[-1][0]
                strokes[-1].append((x, y))
                continue
            word = next(words)
        from_x, from_y = (x, y) if command.islower() else (0.0, 0.0)
        first = float(word)
        if command in "hH":
            x = from_x + first
        elif command in "vV":
            y = from_y + first
        else:
            x, y = from_x + first, from_y + float(next(words))
        if command in "mM":
            strokes.append([])
            command = "l" if command == "m" else "L"
        strokes[-1].append((x, y))
    return strokes


@pytest.fixture(scope="session")
def drawn_points() -> Callable[[str], list[list[tuple[float, float]]]]:
    """Reads the path of an SVG picture: its strokes as points."""
    return _drawn_points


def _text_spans(picture: ElementTree.Element, letter: float) -> list[tuple[float, float, str]]:
    spans = []
    for text in picture.iter("{http://www.w3.org/2000/svg}text"):
        words = "".join(text.itertext())
        width = letter * len(words)
        before = {"end": width, "middle": 0.5 * width}.get(text.get("text-anchor") or "", 0.0)
        left = float(text.get("x") or 0.0) - before
        spans.append((left, left + width, words))
    return spans


@pytest.fixture(scope="session")
def text_spans() -> Callable[[ElementTree.Element, float], list[tuple[float, float, str]]]:
    """Where each text of an SVG picture begins and ends (SVG 2, text-anchor) if a letter is so wide, and its words."""
    return _text_spans


def _comes_true(holds: Callable[[], object], within_s: float = 10.0, every_s: float = 0.02) -> bool:
    give_up = time.monotonic() + within_s
    while not holds():
        if time.monotonic() > give_up:
            return False
        time.sleep(every_s)
    return True


@pytest.fixture(scope="session")
def comes_true() -> Callable[..., bool]:
    """Looks every `every_s` [s] whether something holds, and tells whether it comes to within `within_s` [s]."""
    return _comes_true
