"""The log: what went wrong and where, and nothing that is anybody's business; no Django.

No token of an address, no mail address, no name: a log is sent to whoever helps, and lies about. Of
an error it holds the kind and the lines of code; its words may hold what a keeper typed, and are
left out unless they are the system's own. RAYWARD_DEBUG=1 shows everything on the screen.
"""

import logging
import re
import traceback
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Any

FOLDER, FILE = "log", "rayward.log"
MOST_BYTES, KEPT_FILES = 1_000_000, 5
MASK = "…"
# The addresses that open something to whoever holds them (tests/test_logs.py finds new ones).
OPENING = ("link", "calendar", "o", "s", "once", "stop")
_AFTER_OPENING = re.compile(rf"(?<=/)({'|'.join(OPENING)})/[^/\s\"'?<>]+")
_LONG_PART = re.compile(r"(?<=/)[^/\s\"'?<>]{16,}")  # a token, at whatever address it was tried
_QUERY = re.compile(r"\?[^\s\"'<>]+")
_MAIL = re.compile(r"[^\s@<>\"'(),;:]+@[^\s@<>\"'(),;:]+")
_SECRET_IN_ADDRESS = re.compile(r"(?<=://)[^/\s@]*:[^/\s@]*@")  # user:password@host


def masked(text: str) -> str:
    """The words without tokens, queries of addresses, passwords in them, and mail addresses.

    >>> masked("Not Found: /link/3qJr-x_/ for jo@example.org")
    'Not Found: /link/…/ for …'
    >>> masked("Gone: /linkk/3qJr5tZbVw9AkkPq2dRs?next=/s/Zq1/")
    'Gone: /linkk/…?…'
    >>> masked("Not Found: /animals/12/")
    'Not Found: /animals/12/'
    """
    text = _SECRET_IN_ADDRESS.sub(f"{MASK}@", text)
    text = _QUERY.sub(f"?{MASK}", text)
    text = _AFTER_OPENING.sub(rf"\1/{MASK}", text)
    text = _LONG_PART.sub(MASK, text)
    return _MAIL.sub(MASK, text)


class Discreet(logging.Formatter):
    """One line for each event, masked; of an error its kind and the lines of code it came from."""

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802 - the name in logging
        record.message = masked(record.message).replace("\n", " ").replace("\r", " ")
        return super().formatMessage(record)

    def formatException(self, ei: Any) -> str:  # noqa: N802 - the name in logging
        return "\n".join(_told(ei[1]))


def _told(error: BaseException | None) -> list[str]:
    """The chain of errors, the first one first."""
    if error is None:
        return []
    earlier = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
    lines = [
        f'  File "{frame.filename}", line {frame.lineno}, in {frame.name}'
        for frame in traceback.extract_tb(error.__traceback__)
    ]
    return [*_told(earlier), *lines, f"{type(error).__qualname__}{_own_words(error)}"]


def _own_words(error: BaseException) -> str:
    """What the operating system says; it speaks of disks and sockets, not of people."""
    if isinstance(error, OSError) and error.strerror:
        return f": {masked(error.strerror)}"
    return ""


class HomeLog(RotatingFileHandler):
    """The log in the data directory: made with its first line, and never what stops the program."""

    def __init__(self, home: str) -> None:
        self.folder = Path(home) / FOLDER
        super().__init__(
            self.folder / FILE,
            maxBytes=MOST_BYTES,
            backupCount=KEPT_FILES,
            encoding="utf-8",
            delay=True,
        )

    def emit(self, record: logging.LogRecord) -> None:
        if self.stream is None and not self.folder.is_dir():
            if not self.folder.parent.is_dir():
                return  # a command on a directory that nobody has made
            try:
                self.folder.mkdir(mode=0o700, exist_ok=True)
            except OSError:
                return  # the screen has it all the same
        super().emit(record)

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802 - the name in logging
        """A disk that is full or read-only: what was to be written stands on the screen."""


def configured(home: Path, *, whole_words: bool) -> dict[str, Any]:
    """The logging of the settings. whole_words: errors as they are, for who works on the code."""
    on_screen = "whole" if whole_words else "discreet"
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {
            "discreet": {"()": "breeding.logs.Discreet", "format": _FORM, "style": "{"},
            "whole": {"format": _FORM, "style": "{"},
        },
        "handlers": {
            "console": {
                "class": "logging.StreamHandler",
                "formatter": on_screen,
                "level": "WARNING",
            },
            "home": {"()": "breeding.logs.HomeLog", "home": str(home), "formatter": "discreet"},
        },
        "root": {"handlers": ["console", "home"], "level": "WARNING"},
        "loggers": {
            "breeding": {"level": "INFO"},
            # Who tried which name from where: its own rows keep that, for as long as they are kept.
            "axes": {"level": "ERROR"},
        },
    }


_FORM = "{asctime} {levelname} {name}: {message}"
