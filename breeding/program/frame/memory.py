"""What has been read once stays known until the request ends; outside a request nothing is kept."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, TypeVar

Answer = TypeVar("Answer")
_memory: ContextVar[dict[str, Any] | None] = ContextVar("request_memory", default=None)
_only_reads: ContextVar[bool] = ContextVar("request_only_reads", default=False)


@contextmanager
def for_one_request(*, only_reads: bool = False) -> Iterator[None]:
    token, reads = _memory.set({}), _only_reads.set(only_reads)
    try:
        yield
    finally:
        _only_reads.reset(reads)
        _memory.reset(token)


@contextmanager
def reading_anew() -> Iterator[None]:
    """Everything is read again meanwhile, so that it is seen what is read; then it is known."""
    outer, inner = _memory.get(), {}  # type: tuple[dict[str, Any] | None, dict[str, Any]]
    token, reads = _memory.set(inner), _only_reads.set(True)
    try:
        yield
    finally:
        _only_reads.reset(reads)
        _memory.reset(token)
    if outer is not None:
        outer.update(inner)


def remembered(name: str, read: Callable[[], Answer]) -> Answer:
    """The answer to `read`, asked at most once a request."""
    memory = _memory.get()
    if memory is None:
        return read()
    if name not in memory:
        memory[name] = read()
    answer: Answer = memory[name]
    return answer


def remembered_while_reading(name: str, read: Callable[[], Answer]) -> Answer:
    """The same in a request that only reads; one that may write asks anew every time."""
    return remembered(name, read) if _only_reads.get() else read()


def only_reads() -> bool:
    """Whether this is a request that writes nothing of what it reads."""
    return _memory.get() is not None and _only_reads.get()


def known(name: str) -> Any:
    """What is remembered under a name; None where nothing is."""
    return (_memory.get() or {}).get(name)


def remember(name: str, answer: Any) -> None:
    """It is known already."""
    memory = _memory.get()
    if memory is not None:
        memory[name] = answer


def forget(name: str) -> None:
    """Ask again next time: called by the act that has changed the answer."""
    memory = _memory.get()
    if memory is not None:
        memory.pop(name, None)


def forget_everything() -> None:
    """Ask all of it again: others may have written since it was read."""
    memory = _memory.get()
    if memory is not None:
        memory.clear()
