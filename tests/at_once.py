"""Two people press Save in the same moment: both have read everything, and neither has written."""

import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.db import connection, connections, transaction
from django.test import Client

from breeding.program.acts import once
from breeding.program.models import Person

LONGEST_SECONDS = 60  # on a busy machine


@contextmanager
def a_database_for_several(tmp_path: Path) -> Iterator[None]:
    """PostgreSQL as it is; on SQLite a file, for tests keep theirs in the memory of one thread."""
    if connection.vendor == "postgresql":
        yield
        return
    file = str(tmp_path / "several.sqlite3")
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [file])
    in_memory, as_set = connections["default"], connections.settings["default"]
    connections.settings["default"] = as_set | {"NAME": file}
    connections["default"] = connections.create_connection("default")
    try:
        yield
    finally:
        connections["default"].close()
        connections["default"], connections.settings["default"] = in_memory, as_set


@contextmanager
def all_before_any_writes(
    monkeypatch: pytest.MonkeyPatch, number: int, *, last: int
) -> Iterator[Callable[[int], None]]:
    """Hold each act back until all of them have read what they go by; `last` goes last."""
    ready = threading.Barrier(number)
    who = threading.local()

    def wait_for_all() -> Any:
        if not getattr(who, "waited", False):
            who.waited = True
            ready.wait(LONGEST_SECONDS)
            time.sleep(0.3 if who.number == last else 0)
        return transaction.atomic()

    with monkeypatch.context() as patched:
        patched.setattr(once, "transaction", SimpleNamespace(atomic=wait_for_all))
        yield lambda number: setattr(who, "number", number)


def send_at_once(
    monkeypatch: pytest.MonkeyPatch,
    person: Person,
    forms: list[tuple[str, dict[str, Any]]],
    *,
    last: int = -1,
) -> list[Any]:
    """The answers to these forms, sent in one moment over connections of their own."""
    with all_before_any_writes(monkeypatch, len(forms), last=last) as i_am:

        def send(numbered: tuple[int, tuple[str, dict[str, Any]]]) -> Any:
            number, (address, form) = numbered
            i_am(number)
            client = Client(raise_request_exception=False)
            client.force_login(person)
            try:
                return client.post(address, {"once": once.new_token(person), **form})
            finally:
                connection.close()

        with ThreadPoolExecutor(len(forms)) as threads:
            return list(threads.map(send, enumerate(forms)))
