"""The unattended service: its threads, their start, their orderly end, and settings taken up while it runs."""

from __future__ import annotations

import logging
import os
import queue
import signal
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

from lullwort.alerts import Deliverer, Quiet, Senders, verdict_event
from lullwort.cellarbook import Book, open_book, sole_use
from lullwort.collector import Arrival, BrokerLink, FolderWatch, TopicTemplate
from lullwort.detector import Judged, Units
from lullwort.errors import LullwortError
from lullwort.records import Alert
from lullwort.settings import Settings, broker_password, load_settings
from lullwort.tend.health import Health
from lullwort.tend.http import HttpFace
from lullwort.tend.importing import import_file
from lullwort.tend.judging import Judging
from lullwort.tend.keeper import Keeper
from lullwort.tend.routes import Routes
from lullwort.tend.storing import Storing
from lullwort.tend.supervisor import Supervisor
from lullwort.tend.watch import CellarWatch

__all__ = ["Service", "on_signals"]

_LOG = logging.getLogger("lullwort.tend")

_QUEUE = 2000
_PUBLISH_S = 5.0
_DRAIN_S = 3.0


def _now_us() -> int:
    return time.time_ns() // 1000


@dataclass
class Service:
    """Tends one cellar book until it is told to stop. `options` overrule the settings, as on a command line."""

    environment: Mapping[str, str]
    options: Mapping[str, str | None]
    now_us: Callable[[], int] = _now_us
    _stop: threading.Event = field(default_factory=threading.Event)
    _reload: threading.Event = field(default_factory=threading.Event)
    _wake: threading.Event = field(default_factory=threading.Event)

    def stop(self) -> None:
        """End in order: what was handed over is stored and acknowledged first."""
        self._stop.set()
        self._wake.set()

    def reload(self) -> None:
        """Take up the settings file anew; one that is faulty changes nothing."""
        self._reload.set()
        self._wake.set()

    def run(self) -> None:
        """Until told to stop. Raises UsageError for faulty settings, BookError where the book cannot be used."""
        settings = load_settings(self.environment, self.options)
        supervisor = Supervisor.of(self.environment)
        with sole_use(settings.book):
            while not self._stop.is_set():
                self._wake.clear()
                self._reload.clear()
                with self._running(settings, supervisor):
                    supervisor.tell("READY=1")
                    _LOG.info("tending", extra={"book": str(settings.book)})
                    self._wake.wait()
                    supervisor.tell("STOPPING=1" if self._stop.is_set() else "RELOADING=1")
                if self._reload.is_set():
                    settings = self._reloaded(settings)
        _LOG.info("stopped")

    def _reloaded(self, settings: Settings) -> Settings:
        try:
            fresh = load_settings(self.environment, self.options)
        except LullwortError as exc:
            _LOG.error("the settings are faulty and not taken up", extra={"why": str(exc)})
            return settings
        if fresh.book != settings.book:
            _LOG.error("another book takes a new start of the service", extra={"book": str(fresh.book)})
            return settings
        _LOG.info("settings taken up")
        return fresh

    @contextmanager
    def _running(self, settings: Settings, supervisor: Supervisor) -> Iterator[None]:
        """All threads for these settings; at the end they are stopped in an order in which nothing is left undone."""
        arrivals: queue.Queue[Arrival] = queue.Queue(_QUEUE)
        stop_keeping, stop_delivering = threading.Event(), threading.Event()
        with ExitStack() as threads:
            link = self._link(settings, arrivals)
            deliverer = self._deliverer(settings, link)
            keepers: list[Keeper] = []
            keeper_fault: list[BaseException] = []
            started = threading.Event()

            def keep() -> None:
                try:
                    with open_book(settings.book) as book:
                        keeper = self._keeper(book, settings, arrivals, stop_keeping, link, deliverer, supervisor)
                        keepers.append(keeper)
                        started.set()
                        keeper.run()
                except BaseException as exc:  # noqa: BLE001
                    keeper_fault.append(exc)
                    _LOG.exception("the keeper failed")
                    self._wake.set()
                    started.set()

            def deliver() -> None:
                with open_book(settings.book) as book:
                    book.outbox.forget_targets(settings.alerts.targets())
                    deliverer.run(book.outbox, stop_delivering)

            keeping = _thread("keeper", keep)
            started.wait()
            delivering = _thread("delivery", deliver)
            threads.callback(_end, delivering, stop_delivering, deliverer.wake)
            if link is not None:
                threads.callback(link.stop, _PUBLISH_S)
            threads.callback(_end, keeping, stop_keeping, lambda: None)
            if settings.http is not None and keepers:
                health = partial(self._health, keepers[0], arrivals, link, settings.book)
                face = HttpFace(settings.http, settings.forms, partial(_put, arrivals), health, self.now_us)
                face.start()
                threads.callback(face.stop)
            if link is not None:
                link.start()
            if settings.folder is not None:
                stop_looking = threading.Event()
                watch = FolderWatch(settings.folder, partial(import_file, settings, self.environment))
                looking = _thread("folder", lambda: watch.run(stop_looking, time.monotonic))
                threads.callback(_end, looking, stop_looking, lambda: None)
            yield
        if keeper_fault:
            raise keeper_fault[0]

    def _health(self, keeper: Keeper, arrivals: queue.Queue[Arrival], link: BrokerLink | None, path: Path) -> Health:
        now_us, tally = self.now_us(), keeper.storing.tally
        with open_book(path) as book:
            waiting_us = book.outbox.oldest_waiting_us()
        return Health(
            up_s=(now_us - keeper.judging.started_us) / 1e6,
            failing=keeper.failing,
            broker_connected=None if link is None else link.connected,
            queue_length=arrivals.qsize(),
            queue_limit=_QUEUE,
            messages=tally.messages,
            readings=tally.readings,
            set_aside=tally.set_aside,
            failed=tally.failed,
            reading_age_s={sensor: (now_us - at_us) / 1e6 for sensor, at_us in keeper.reading_us.items()},
            verdicts=keeper.judging.verdicts(),
            outbox_age_s=0.0 if waiting_us is None else max(0, now_us - waiting_us) / 1e6,
        )

    def _link(self, settings: Settings, arrivals: queue.Queue[Arrival]) -> BrokerLink | None:
        if settings.broker is None:
            return None
        return BrokerLink(
            settings.broker, broker_password(settings.broker, self.environment), arrivals.put, self.now_us
        )

    def _deliverer(self, settings: Settings, link: BrokerLink | None) -> Deliverer:
        def publish(alert: Alert, payload: bytes) -> bool:
            if link is None or settings.broker is None:
                return True
            topic = TopicTemplate(settings.broker.alert_topic).of(vessel=alert.vessel or "-")
            return link.publish(topic, payload, retain=True, timeout_s=_PUBLISH_S)

        return Deliverer(Senders(settings.alerts, _SOURCE, publish), _quiet(settings), self.now_us)

    def _keeper(
        self,
        book: Book,
        settings: Settings,
        arrivals: queue.Queue[Arrival],
        stop: threading.Event,
        link: BrokerLink | None,
        deliverer: Deliverer,
        supervisor: Supervisor,
    ) -> Keeper:
        def on_verdicts(changed: list[Judged]) -> None:
            if link is not None and settings.broker is not None:
                template = TopicTemplate(settings.broker.verdict_topic)
                for judged in changed:
                    topic = template.of(vessel=judged.batch.vessel)
                    link.publish(topic, verdict_event(judged, _SOURCE), retain=True, timeout_s=0.0)

        now_us = self.now_us()
        seen_us = _last_seen_us(settings.book)
        judging = Judging(book, now_us)
        away_us = 0 if seen_us is None else max(0, now_us - seen_us)
        watch = CellarWatch(book, judging, settings.alerts, _units(settings), _quiet(settings), now_us, away_us)

        def alive() -> None:
            supervisor.tell("WATCHDOG=1")
            _sign_of_life(settings.book)

        return Keeper(
            book,
            Storing(book, Routes.of(settings)),
            judging,
            watch,
            settings.alerts.targets,
            arrivals,
            stop,
            self.now_us,
            on_verdicts,
            deliverer.wake,
            alive,
        )


_SOURCE = "lullwort"


def _put(arrivals: queue.Queue[Arrival], arrival: Arrival) -> bool:
    try:
        arrivals.put_nowait(arrival)
    except queue.Full:
        return False
    return True


def _thread(name: str, run: Callable[[], None]) -> threading.Thread:
    thread = threading.Thread(target=run, name=name, daemon=True)
    thread.start()
    return thread


def _end(thread: threading.Thread, stop: threading.Event, wake: Callable[[], None]) -> None:
    stop.set()
    wake()
    thread.join(_DRAIN_S)


def _quiet(settings: Settings) -> Quiet:
    return Quiet(settings.alerts.quiet, ZoneInfo(settings.zone or "UTC"))


def _units(settings: Settings) -> Units:
    return Units(
        gravity="plato" if settings.gravity == "plato" else "sg",
        temperature="F" if settings.temperature == "F" else "C",
        zone=settings.zone or "UTC",
    )


_ALIVE_EVERY_S = 60.0


def _alive_file(book: Path) -> Path:
    return book.resolve().with_name(f"{book.resolve().name}.tend")


def _last_seen_us(book: Path) -> int | None:
    """When a service on this book last showed that it was alive, before this one."""
    try:
        return _alive_file(book).stat().st_atime_ns // 1000
    except OSError:
        return None


def _sign_of_life(book: Path) -> None:
    path = _alive_file(book)
    try:
        if time.time() - path.stat().st_atime > _ALIVE_EVERY_S:
            os.utime(path, (time.time(), path.stat().st_mtime))
    except OSError:
        return  # it says nothing of the book; a full or read-only disk shows when something is stored


def on_signals(service: Service) -> None:
    """End on SIGTERM and SIGINT, reload on SIGHUP."""
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: service.stop())
    signal.signal(signal.SIGHUP, lambda *_: service.reload())
