"""The service's log: a line an event, its values as key=value, so that people and programs read the same."""

from __future__ import annotations

import logging
import sys
import time
from collections.abc import Callable

__all__ = ["LineFormatter", "log_to_stderr", "thin_out"]

_OWN = frozenset(logging.makeLogRecord({}).__dict__) | {"message", "asctime", "taskName"}


class LineFormatter(logging.Formatter):
    """`2026-03-02T09:00:00Z warning lullwort.tend alert kind=ready about=north-12`; text with blanks is quoted.

    >>> record = logging.makeLogRecord({"levelname": "INFO", "name": "a", "msg": "b c", "created": 0.0, "why": "d e"})
    >>> LineFormatter().format(record)
    "1970-01-01T00:00:00Z info a b c why='d e'"
    """

    def format(self, record: logging.LogRecord) -> str:
        when = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(record.created))
        values = [f"{key}={_shown(value)}" for key, value in record.__dict__.items() if key not in _OWN]
        line = " ".join([when, record.levelname.lower(), record.name, record.getMessage(), *values])
        if record.exc_info:
            line += "\n" + self.formatException(record.exc_info)
        return line


def _shown(value: object) -> str:
    text = str(value)
    return repr(text) if not text or any(c.isspace() or c in "='\"" for c in text) or not text.isprintable() else text


def log_to_stderr(level: str = "INFO") -> None:
    """From now on everything logged goes to standard error, which a service manager keeps."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(LineFormatter())
    logging.basicConfig(level=level, handlers=[handler], force=True)


def thin_out(*loggers: str) -> None:
    """What these say again and again is logged once in a while: somebody far away can make them say it."""
    for name in loggers:
        logger = logging.getLogger(name)
        if not any(isinstance(each, _Thinning) for each in logger.filters):
            logger.addFilter(_Thinning())


_THINNED_TO_S = 60.0
_MOST_SAID = 100


class _Thinning(logging.Filter):
    """Lets a warning through that was not let through lately, with how many were held back meanwhile as `like_it`."""

    def __init__(self, clock_s: Callable[[], float] = time.monotonic) -> None:
        super().__init__()
        self._clock_s = clock_s
        self._said: dict[object, tuple[float, int]] = {}
        """When it was let through last, and how many were held back since."""

    def filter(self, record: logging.LogRecord) -> bool:
        if record.levelno < logging.WARNING:
            return True
        what, now_s = _what(record), self._clock_s()
        when_s, held = self._said.pop(what, (None, 0))
        if when_s is not None and now_s - when_s < _THINNED_TO_S:
            self._said[what] = when_s, held + 1
            return False
        self._said[what] = now_s, 0
        if len(self._said) > _MOST_SAID:
            del self._said[next(iter(self._said))]
        if held:
            record.like_it = held
        return True


def _what(record: logging.LogRecord) -> object:
    """Equal for records of one kind: an error of another kind, or from elsewhere, is another."""
    kind, _, trace = record.exc_info or (None, None, None)
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    place = None if trace is None else (trace.tb_frame.f_code.co_filename, trace.tb_lineno)
    return record.levelno, str(record.msg).partition("\n")[0], kind, place
