"""The service's log: a line an event, its values as key=value, so that people and programs read the same."""

from __future__ import annotations

import logging
import sys
import time

__all__ = ["LineFormatter", "log_to_stderr"]

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
