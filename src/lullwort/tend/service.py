"""The unattended service: its threads, their start, their orderly end, and settings taken up while it runs."""

from __future__ import annotations

import logging
import os
import queue
import signal
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

from lullwort.alerts import Deliverer, Quiet, Senders, verdict_event
from lullwort.cellarbook import Book, open_book, sole_use
from lullwort.collector import Arrival, BrokerLink, FolderWatch, TopicTemplate
from lullwort.detector import Judged
from lullwort.errors import LullwortError, SourceError
from lullwort.records import HOUR_US, Alert
from lullwort.settings import Settings, broker_password, load_settings
from lullwort.tend.boardclock import BoardClock, wall_us
from lullwort.tend.health import Health
from lullwort.tend.importing import import_file
from lullwort.tend.inbox import Inbox
from lullwort.tend.judging import Judging
from lullwort.tend.keeper import Keeper
from lullwort.tend.routes import Routes
from lullwort.tend.storing import Storing
from lullwort.tend.supervisor import Supervisor
from lullwort.tend.verdictboard import VerdictBoard
from lullwort.tend.watch import CellarWatch

__all__ = ["Service", "on_signals"]

_LOG = logging.getLogger("lullwort.tend")

_QUEUE = 2000
_WAIT_FOR_BOOK_S = 2.0
"""How long another process may hold the book before messages are left with their senders."""
_CACHE_KIB = 400
"""Of the book in memory, for each thread that reads it: what is asked for hour by hour is little."""
_PUBLISH_S = 5.0
_END_WITHIN_S = 4.5
_BYE_S = 1.0
_LATELY_US = 30 * 24 * HOUR_US
_FULL_S = 0.5


@dataclass
class Service:
    """Tends one cellar book until it is told to stop. `options` overrule the settings, as on a command line."""

    environment: Mapping[str, str]
    options: Mapping[str, str | None]
    now_us: Callable[[], int] = wall_us
    _stop: threading.Event = field(default_factory=threading.Event)
    _reload: threading.Event = field(default_factory=threading.Event)
    _wake: threading.Event = field(default_factory=threading.Event)
    _delivering: threading.Thread | None = None
    _packaged: set[str] = field(default_factory=set)
    """Batches of which nothing is to be left at the broker."""
    _asked_for: set[str] = field(default_factory=set)
    """Filters of topics that any settings of this run had, which the broker's session still holds."""

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
        proved: Settings | None = None
        supervisor = Supervisor.of(self.environment)
        with sole_use(settings.book):
            while not self._stop.is_set():
                self._wake.clear()
                self._reload.clear()
                if self._stop.is_set():  # told just before the wake-up was cleared
                    break
                try:
                    with self._running(settings, supervisor):
                        proved = settings
                        supervisor.tell("READY=1")
                        _LOG.info("tending", extra={"book": str(settings.book)})
                        self._wake.wait()
                        supervisor.tell("STOPPING=1" if self._stop.is_set() else "RELOADING=1")
                except SourceError as exc:
                    if proved is None or settings is proved:
                        raise
                    _LOG.error("the changed settings cannot be used, those before hold", extra={"why": str(exc)})
                    settings = proved
                    continue
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
        inbox = Inbox(_QUEUE)
        stop_looking, stop_keeping, stop_delivering = threading.Event(), threading.Event(), threading.Event()
        ending, faults = _Ending(), _Faults(self._wake)

        def hand_over(arrival: Arrival) -> None:
            while not inbox.put(arrival, _FULL_S):
                if stop_keeping.is_set():
                    return  # not settled, so that it is its sender's still, and comes again

        with faults.heard(), ExitStack() as threads:
            link = self._link(settings, hand_over)
            deliverer = self._deliverer(settings, link)
            keepers: queue.Queue[Keeper] = queue.Queue()

            def keep() -> None:
                with _open(settings.book) as book:
                    keeper = self._keeper(book, settings, inbox, stop_keeping, link, deliverer, supervisor)
                    keepers.put(keeper)
                    keeper.run()

            before = self._delivering

            def deliver() -> None:
                if before is not None:
                    before.join()  # one that still sends would be doubled
                with _open(settings.book) as book:
                    deliverer.run(book.outbox, stop_delivering)

            keeping = faults.thread("keeper", keep)
            keeper = _first(keepers, keeping)
            if keeper is not None:
                self._delivering = delivering = faults.thread("delivery", deliver)
                threads.callback(ending.end, delivering, stop_delivering, deliverer.wake)
            if link is not None:
                threads.callback(lambda: link.stop(ending.left_s(_BYE_S)))
            threads.callback(ending.end, keeping, stop_keeping)
            if settings.http is not None and keeper is not None:
                from lullwort.tend.facing import Facing

                health = partial(self._health, keeper, inbox, link, deliverer)
                book = partial(_open, settings.book)
                facing = Facing(settings, settings.http, keeper, inbox.put, health, book, self.now_us)
                threads.callback(lambda: facing.stop(ending.left_s(_BYE_S)))
                facing.start()
            if link is not None and keeper is not None:
                link.start()
            if settings.folder is not None and keeper is not None:
                watch = FolderWatch(settings.folder, partial(import_file, settings, self.environment))
                looking = faults.thread("folder", lambda: watch.run(stop_looking, time.monotonic))
                threads.callback(ending.end, looking, stop_looking, most_s=_BYE_S)
            yield
        if faults.found:
            raise faults.found[0]

    def _health(self, keeper: Keeper, inbox: Inbox, link: BrokerLink | None, deliverer: Deliverer) -> Health:
        now_us, tally, waiting_us = self.now_us(), keeper.storing.tally, deliverer.waiting_us
        return Health(
            up_s=(now_us - keeper.judging.started_us) / 1e6,
            failing=keeper.failing,
            broker_connected=None if link is None else link.connected,
            queue_length=len(inbox),
            queue_limit=inbox.limit,
            messages=tally.messages,
            readings=tally.readings,
            set_aside=tally.set_aside,
            failed=tally.failed,
            reading_age_s={sensor: (now_us - at_us) / 1e6 for sensor, at_us in keeper.reading_us.items()},
            verdicts=keeper.judging.verdicts(),
            outbox_age_s=0.0 if waiting_us is None else max(0, now_us - waiting_us) / 1e6,
        )

    def _link(self, settings: Settings, hand_over: Callable[[Arrival], None]) -> BrokerLink | None:
        if settings.broker is None:
            return None
        password = broker_password(settings.broker, self.environment)
        link = BrokerLink(settings.broker, password, hand_over, self.now_us, no_longer=sorted(self._asked_for))
        self._asked_for.update(link.filters)
        return link

    def _deliverer(self, settings: Settings, link: BrokerLink | None) -> Deliverer:
        publish = None
        if link is not None and settings.broker is not None:
            publish = partial(self._publish, link, TopicTemplate(settings.broker.alert_topic))
        return Deliverer(Senders(settings.alerts, _SOURCE, publish), _quiet(settings), self.now_us)

    def _publish(self, link: BrokerLink, topic: TopicTemplate, alert: Alert, payload: bytes) -> bool:
        retain = alert.batch not in self._packaged
        return link.publish(topic.of(vessel=alert.vessel or "-"), payload, retain=retain, timeout_s=_PUBLISH_S)

    def _keeper(
        self,
        book: Book,
        settings: Settings,
        inbox: Inbox,
        stop: threading.Event,
        link: BrokerLink | None,
        deliverer: Deliverer,
        supervisor: Supervisor,
    ) -> Keeper:
        def show(judged: Judged) -> bool:
            if link is None or settings.broker is None:
                return True
            if not link.connected:
                return False
            topic = TopicTemplate(settings.broker.verdict_topic).of(vessel=judged.batch.vessel)
            link.publish(topic, verdict_event(judged, _SOURCE), retain=True, timeout_s=0.0)
            if judged.batch.packaged_us is not None:
                # What was told of it is done; an empty message has the broker forget it [MQTT 3.1.1, 3.3.1.3].
                self._packaged.add(judged.batch.name)
                told = TopicTemplate(settings.broker.alert_topic).of(vessel=judged.batch.vessel)
                link.publish(told, b"", retain=True, timeout_s=0.0)
            return True

        now_us = self.now_us()
        seen_us = _last_seen_us(settings.book)
        judging = Judging(book, now_us)
        watch = CellarWatch(book, judging, settings.alerts, settings.units, _quiet(settings), now_us, seen_us)

        def alive() -> None:
            supervisor.tell("WATCHDOG=1")
            _sign_of_life(settings.book)

        return Keeper(
            book,
            Storing(book, Routes.of(settings)),
            judging,
            watch,
            deliverer.senders.targets,
            inbox,
            stop,
            BoardClock(self.now_us),
            VerdictBoard(show).see,
            deliverer.wake,
            alive,
            reading_us=_heard_lately(book, now_us),
        )


_SOURCE = "lullwort"


def _open(path: Path) -> AbstractContextManager[Book]:
    return open_book(path, wait_s=_WAIT_FOR_BOOK_S, cache_kib=_CACHE_KIB)


def _heard_lately(book: Book, now_us: int) -> dict[str, int]:
    """[µs] of the newest reading of each sensor that was heard in the last weeks."""
    newest: dict[str, int] = {}
    for vessel in book.readings.vessels():
        for sensor, at_us in book.readings.sensors(vessel).items():
            if now_us - at_us < _LATELY_US:
                newest[sensor] = max(at_us, newest.get(sensor, at_us))
    return newest


def _first(made: queue.Queue[Keeper], by: threading.Thread) -> Keeper | None:
    """The keeper, once it is made; None where its thread ended over it."""
    while by.is_alive():
        with suppress(queue.Empty):
            return made.get(timeout=0.1)
    return made.get_nowait() if not made.empty() else None


@dataclass
class _Faults:
    """What any thread failed of, a library's own too: the service then ends as a whole, and is started again."""

    wake: threading.Event
    found: list[BaseException] = field(default_factory=list)

    @contextmanager
    def heard(self) -> Iterator[None]:
        """Within, no thread dies unseen."""
        before, threading.excepthook = threading.excepthook, self._hear
        try:
            yield
        finally:
            threading.excepthook = before

    def _hear(self, of: threading.ExceptHookArgs) -> None:
        if of.exc_value is None or isinstance(of.exc_value, SystemExit):
            return
        part = of.thread.name if of.thread else "unknown"
        _LOG.error("a part of the service failed", extra={"part": part}, exc_info=of.exc_value)
        self.found.append(of.exc_value)
        self.wake.set()

    def thread(self, name: str, run: Callable[[], None]) -> threading.Thread:
        """One that runs."""
        thread = threading.Thread(target=run, name=name, daemon=True)
        thread.start()
        return thread


@dataclass
class _Ending:
    """One span of time for all that has to end, from the first on."""

    _until_s: float | None = None

    def left_s(self, most_s: float = _END_WITHIN_S) -> float:
        """[s] for the next to end; `most_s` where others after it need time, too."""
        if self._until_s is None:
            self._until_s = time.monotonic() + _END_WITHIN_S
        return min(most_s, max(0.0, self._until_s - time.monotonic()))

    def end(
        self,
        thread: threading.Thread,
        stop: threading.Event,
        wake: Callable[[], None] = lambda: None,
        most_s: float = _END_WITHIN_S,
    ) -> None:
        stop.set()
        wake()
        thread.join(self.left_s(most_s))


def _quiet(settings: Settings) -> Quiet:
    return Quiet(settings.alerts.quiet, ZoneInfo(settings.zone or "UTC"))


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
        if abs(time.time() - path.stat().st_atime) > _ALIVE_EVERY_S:
            os.utime(path, (time.time(), path.stat().st_mtime))
    except OSError:
        return  # it says nothing of the book; a full or read-only disk shows when something is stored


def on_signals(service: Service) -> None:
    """End on SIGTERM and SIGINT, reload on SIGHUP."""
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: service.stop())
    signal.signal(signal.SIGHUP, lambda *_: service.reload())
