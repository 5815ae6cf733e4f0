"""What the bench card costs: its first view, its bytes, the service's time for a page, and twenty pages that follow.

    python tests/benchmarks/card_figures.py [FOLLOWED_S]

Needs the programs mosquitto and chromium, and /proc. First views are ratios in one run: each is taken in turn with that
of a static page which holds the same curve, and is sent with the same headers; what it comes to beside one without them
is told, too. The twenty pages are those of a real browser, each on a device of its own (a context, with its own
cookie and connections), ten as on a phone and ten as at a desk, all in sight; what is told of them is what the service
takes, not the machine that shows them. Beside it stands how busy the machine was meanwhile.
"""

from __future__ import annotations

import functools
import gzip
import http.client
import http.server
import json
import os
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from typing import Any

from lullwort.card.pages.assets import ASSETS
from lullwort.cellarbook import Intake, open_book
from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.records import COMMON_UNITS, HOUR_US, Batch
from lullwort.rehearsal import Invented, invent, renamed, shifted
from service_figures import resident_mib, seconds_of_processor, tell, until_it_answers
from service_intake import broker, free_port
from turns import in_turns

SETTINGS = 'book = "{book}"\nzone = "UTC"\n[broker]\nport = {port}\n[http]\nlisten = "127.0.0.1:{http}"\n'
EVERY_US = 300_000_000
DAYS = 14
VIEWS = 15
SAFE = ("Content-Security-Policy", "Cross-Origin-Opener-Policy", "Cross-Origin-Embedder-Policy")
PAGES = 20
NO_PAGE = ("/live", "/curve", "/readings.csv", "/readings.parquet", "/calendar.ics", "/sheet")


def cellar() -> list[Invented]:
    """Eight batches of a fortnight, the first with a reading each five minutes, all ending about now."""
    kinds = ("plain ale", "fast ale", "bump", "noisy sensor", "drifting sensor", "plain ale", "fast ale", "bump")
    now_us = time.time_ns() // 1000
    made = []
    for nth, kind in enumerate(kinds):
        one = renamed(invent(kind, 2 + nth), f"v{nth}", f"v{nth}-1")
        until_us = one.batch.pitched_us + DAYS * 24 * HOUR_US
        one.readings[:] = [r for r in one.readings if r.at_us <= until_us]
        made.append(shifted(one, (now_us - one.newest_us) // HOUR_US * HOUR_US))
    return made


def keep(path: Path, made: list[Invented]) -> None:
    """Put them on record; of the first what a sensor would send each five minutes."""
    builder = BlockBuilder(COMMON_UNITS)
    gap = float("nan")
    for nth, one in enumerate(made):
        last_us = 0
        for r in one.readings:
            if nth == 0 and r.gravity is not None and r.temperature_c is not None:
                for at_us in range(max(last_us + EVERY_US, r.at_us - HOUR_US), r.at_us, EVERY_US):
                    builder.add(r.sensor, r.vessel, at_us, [r.gravity, r.temperature_c, gap, gap, gap], 0)
                    last_us = at_us
            elif nth:
                values = [gap if v is None else v for v in (r.gravity, r.temperature_c)]
                builder.add(r.sensor, r.vessel, r.at_us, [*values, gap, gap, gap], 0)
    with open_book(path) as book:
        run = book.imports.begin(Intake("broker", "somewhere", "00" * 32, open_ended=True), 1)
        run.store(builder.build())
        run.commit()
        for one in made:
            book.batches.put(one.batch)
        print(f"readings of {DAYS} days at 5 minutes: {sum(1 for _ in book.readings.of('v0', -(2**62), 2**62))}")


# -- first views -------------------------------------------------------------------------------------------------------


@contextmanager
def static_page(folder: Path, svgs: list[str], headers: Mapping[str, str]) -> Iterator[str]:
    """A plain server of files with one page, which holds the same curve and the style that it needs."""
    style = next(content for media, content in ASSETS.values() if media == "text/css")
    folder.mkdir()
    (folder / "style.css").write_text(style)
    head = '<!DOCTYPE html><html lang="en"><meta charset="utf-8"><title>Curve</title>'
    body = f'<figure id="curve-figure">{"".join(svgs)}</figure>'  # by whose width one of them is shown
    (folder / "index.html").write_text(f'{head}<link rel="stylesheet" href="style.css"><main>{body}</main></html>')

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *_: object) -> None:
            return

        def end_headers(self) -> None:
            for name, value in headers.items():
                self.send_header(name, value)
            super().end_headers()

    handler = functools.partial(Quiet, directory=str(folder))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()


def view(browser: Any, url: str, said: list[str], asked: list[str]) -> tuple[float, float, float]:
    """[ms] to the first contentful paint and to the end of loading, with nothing kept from before; [bytes] received."""
    with browser.new_context(viewport={"width": 1280, "height": 800}) as context:
        page = context.new_page()
        page.on("console", lambda message: said.append(f"{url}: {message.text}"))
        page.on("pageerror", lambda error: said.append(f"{url}: {error}"))
        page.on("request", lambda request: asked.append(request.url))
        page.goto(url, wait_until="load")
        page.wait_for_function("() => performance.getEntriesByName('first-contentful-paint').length")
        return tuple(
            page.evaluate(
                """() => {
                    const [way] = performance.getEntriesByType('navigation');
                    const parts = performance.getEntriesByType('resource').filter(e => e.name.includes('/assets/'));
                    return [performance.getEntriesByName('first-contentful-paint')[0].startTime, way.loadEventEnd,
                            [way, ...parts].reduce((sum, part) => sum + part.transferSize, 0)];
                }"""
            )
        )


def first_views(chromium: str, url: str, folder: Path) -> None:
    """The page of a vessel against a static one."""
    from playwright.sync_api import sync_playwright

    _, content, headers = fetched(url, "/vessel/v0")
    html, safe = content.decode(), {name: headers[name] for name in SAFE if name in headers}
    svgs = re.findall(r'<div class="curve-(?:wide|small)">.*?</div>', html, flags=re.DOTALL)
    said: list[str] = []
    asked: list[str] = []
    sizes: list[float] = []
    with (
        static_page(folder / "static", svgs, safe) as static,
        static_page(folder / "bare", svgs, {}) as bare,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        looked: dict[str, list[tuple[float, float, float]]] = {"card": [], "static": [], "bare": []}

        def look(name: str, address: str, ours: list[str], theirs: list[str]) -> float:
            looked[name].append(view(browser, address, ours, theirs))
            return 0.0

        in_turns(
            {
                "static": lambda: look("static", static, [], []),
                "bare": lambda: look("bare", bare, [], []),
                "card": lambda: look("card", f"{url}/vessel/v0", said, asked),
            },
            VIEWS,
        )
        browser.close()
    sizes = [size for _, _, size in looked["card"]]
    for what, part in (("first contentful paint", 0), ("loaded", 1)):
        ours, other, less = ([each[part] for each in looked[name]] for name in ("card", "static", "bare"))
        ratio, beside = (median(a / b for a, b in zip(ours, them, strict=True)) for them in (other, less))
        more = f" ({median(ours):.0f} ms against {median(other):.0f}; {beside:.2f} x one without headers)"
        tell(f"vessel, {what}, times the static page", ratio, "x", 2.0, more)
    tell("first visit, page, style and script", max(sizes) / 1000.0, "kB", 60.0)
    elsewhere = [each for each in asked if not each.startswith(url)]
    tell("lines on the console", len(said), "", 0.0, f" {said[:2]}")
    tell("requests elsewhere", len(elsewhere), "", 0.0, f" {elsewhere[:2]}")


# -- the service's time ------------------------------------------------------------------------------------------------


def fetched(url: str, path: str, **headers: str) -> tuple[int, bytes, http.client.HTTPMessage]:
    connection = http.client.HTTPConnection(url.removeprefix("http://"), timeout=30.0)
    connection.request("GET", path, headers={"Accept-Encoding": "gzip", **headers})
    answer = connection.getresponse()
    body = answer.read()
    connection.close()
    if answer.headers.get("Content-Encoding") == "gzip":
        body = gzip.decompress(body)
    return answer.status, body, answer.headers


def server_times(made: list[Invented], book: Path) -> None:
    """Processor time of the desk for a page, compressed, without the network: facts just changed, and held."""
    from lullwort.card import Cellar, Tended
    from lullwort.card.live.livepages import LivePage, finish_page
    from lullwort.card.live.pulse import pulse_html
    from lullwort.card.vessels.overview import overview
    from lullwort.card.vessels.vesselpage import batch_page, vessel_page
    from lullwort.detector import Units
    from lullwort.standing import judge_book

    units, now_us = Units(zone="UTC"), time.time_ns() // 1000
    with open_book(book, create=False) as opened:
        judged = {
            entry.batch.name: entry.judged
            for one in made
            for entry in judge_book(opened, one.batch.vessel, None, now_us=now_us)
            if entry.batch is not None and entry.judged is not None
        }
        cellar = Cellar(opened, lambda: Tended(judged, ""), lambda: now_us)

        def whole(body: list[str]) -> None:
            finish_page(LivePage("t", body, "/live"), pulse_html(now_us, units, "/"))

        def vessel() -> None:
            facts = cellar.vessel("v0")
            assert facts is not None
            whole(vessel_page(facts, units, now_us))

        def batch() -> None:
            facts = cellar.batch("v0-1")
            assert facts is not None
            whole(batch_page(facts, units, now_us))

        pages: dict[str, Callable[[], None]] = {
            "all of 8 vessels": lambda: whole(overview(cellar.vessels(), units, now_us)),
            "a vessel": vessel,
            "a batch": batch,
        }

        def made_anew(page: Callable[[], None]) -> tuple[float, float, float]:
            """[ms] to make the facts; the page of facts just made; the page again."""
            cellar._known.clear()
            began = time.thread_time()
            while cellar.make_ahead():
                pass
            facts_ms = 1e3 * (time.thread_time() - began)
            times = []
            for _ in range(2):
                began = time.thread_time()
                page()
                times.append(1e3 * (time.thread_time() - began))
            return facts_ms, times[0], times[1]

        for name, page in pages.items():
            times = [made_anew(page) for _ in range(15)]
            tell(f"{name}: page, facts just changed", median(t[1] for t in times), "ms", 25.0)
            tell(f"{name}: page again, made anew", median(t[2] for t in times), "ms", 25.0)
        facts = median(t[0] for t in times) / len(made)
        print(f"{'made before anybody asks: facts of a batch':44} {facts:8.3f} ms")


def addresses(html: str) -> list[str]:
    """Of our own pages that this one leads to."""
    found = dict.fromkeys(re.findall(r'href="(/[^"#?]*)"', html))
    return [path for path in found if not path.endswith(NO_PAGE) and "/assets/" not in path]


def asked_times(url: str) -> None:
    """From the request to the last byte, over the network, of every page that the page of a vessel leads to."""
    for path in addresses(fetched(url, "/vessel/v0")[1].decode()):
        times = []
        for _ in range(9):
            began = time.perf_counter()
            status, _, headers = fetched(url, path)
            times.append(1e3 * (time.perf_counter() - began))
        if status == 200 and headers["Content-Type"].startswith("text/html"):
            tell(f"asked for over the network: {path}", median(times), "ms", 25.0)


# -- twenty pages that follow ------------------------------------------------------------------------------------------


class Open:
    """A page that is open on a device of its own, and what went over its lines."""

    def __init__(self, browser: Any, url: str, path: str, width: int) -> None:
        self.address = f"{url}{path}"
        self.lines = self.asked = self.changed = 0
        self.said: list[str] = []
        self.page = browser.new_context(viewport={"width": width, "height": 800}).new_page()
        self.page.on("console", lambda message: self.said.append(f"{path}: {message.text}"))
        self.page.on("pageerror", lambda error: self.said.append(f"{path}: {error}"))
        self.page.on("request", self._asks)
        self.page.on("response", self._answered)
        self.page.goto(self.address)

    def _asks(self, request: Any) -> None:
        self.asked += request.url == self.address

    def _answered(self, response: Any) -> None:
        self.lines += "/live" in response.url and response.status == 200
        self.changed += response.url == self.address and response.status == 200

    def follows(self) -> bool:
        """Whether it is in sight, and is kept up to date over the one line that it began with."""
        says = "document.querySelector('#pulse').textContent.includes('keeps itself up to date')"
        return self.lines == 1 and bool(self.page.evaluate(f"!document.hidden && {says}"))


def followed(chromium: str, url: str, pid: int, port: int, batch: Batch, for_s: float) -> None:
    """A sensor that sends each 5 s, first with no page open, then beside twenty."""
    from paho.mqtt.client import Client
    from paho.mqtt.enums import CallbackAPIVersion
    from playwright.sync_api import sync_playwright

    sender = Client(CallbackAPIVersion.VERSION2)
    sender.connect("127.0.0.1", port)
    sender.loop_start()

    def send_for(seconds: float, rest_ms: Callable[[float], object]) -> float:
        """[%] of a core that the service took meanwhile."""
        before, began = seconds_of_processor(pid), time.perf_counter()
        while time.perf_counter() - began < seconds:
            pack = [
                {"bn": f"{batch.vessel}:", "bt": time.time(), "n": "gravity", "u": "/", "v": 1.0112},
                {"n": "temperature", "u": "Cel", "v": 20.0},
            ]
            sender.publish(f"lullwort/readings/{batch.vessel}", json.dumps(pack), qos=1)
            rest_ms(5000.0)
        return 100.0 * (seconds_of_processor(pid) - before) / (time.perf_counter() - began)

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        rest = browser.new_page().wait_for_timeout  # in which it is heard what went over the lines
        for path in ("/", "/vessel/v0"):
            fetched(url, path)
        send_for(10.0, rest)
        alone, memory, busy = send_for(for_s, rest), resident_mib(pid), [os.getloadavg()[0]]
        paths = ["/"] * 4 + ["/vessel/v0"] * 10 + [f"/vessel/v{nth}" for nth in range(1, 7)]
        pages = [Open(browser, url, path, (360, 1280)[nth % 2]) for nth, path in enumerate(paths)]
        send_for(10.0, rest)
        for one in pages:
            one.asked = one.changed = 0
        beside = send_for(for_s, rest)
        busy.append(os.getloadavg()[0])
        following = sum(one.follows() for one in pages)
        more = resident_mib(pid) - memory
        said = [line for one in pages for line in one.said]
        browser.close()
    sender.disconnect()
    sender.loop_stop()
    assert following == len(pages) == PAGES, f"{following} of {PAGES} pages followed to the end"
    asked, changed = sum(one.asked for one in pages), sum(one.changed for one in pages)
    heard = f" ({asked} times told, {changed} pages sent)"
    tell(f"{PAGES} pages that follow, memory added", more, "MiB", 15.0, heard)
    tell(f"{PAGES} pages that follow, processor added", beside - alone, "%", 2.0, f" ({alone:.2f} % without)")
    tell("lines on their consoles", len(said), "", 0.0, f" {said[:2]}")
    print(f"{'resident memory, with the card in use':44} {memory + more:8.3f} MiB")
    print(f"{'load of the machine, before and beside them':44} {busy[0]:8.1f} and {busy[1]:.1f}")


def main(for_s: float = 60.0) -> None:
    chromium = "/usr/bin/chromium"
    with tempfile.TemporaryDirectory() as name, broker(Path(name)) as port:
        folder, listen = Path(name), free_port()
        made = cellar()
        keep(folder / "cellar.book", made)
        (folder / "settings.toml").write_text(SETTINGS.format(book=folder / "cellar.book", port=port, http=listen))
        environment = os.environ | {"LULLWORT_SETTINGS": str(folder / "settings.toml")}
        process = subprocess.Popen(
            [sys.executable, "-m", "lullwort", "tend"], env=environment, stderr=subprocess.DEVNULL
        )
        url = f"http://127.0.0.1:{listen}"
        try:
            until_it_answers(f"{url}/health")
            time.sleep(5.0)
            tell("resident memory before anybody looks", resident_mib(process.pid), "MiB", 60.0)
            first_views(chromium, url, folder)
            server_times(made, folder / "cellar.book")
            asked_times(url)
            followed(chromium, url, process.pid, port, made[0].batch, for_s)
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait()


if __name__ == "__main__":
    main(*map(float, sys.argv[1:]))
