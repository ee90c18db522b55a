"""Files are kept whole or not at all, and only together with the record that names them."""

import os
import tempfile
from collections.abc import Callable
from contextlib import suppress
from contextvars import ContextVar
from typing import Any

from django.core.files.base import File
from django.core.files.storage import FileSystemStorage
from django.db import transaction
from django.http import HttpRequest, HttpResponse

Answer = Callable[[HttpRequest], HttpResponse]

# What this request has written and no transaction has made good yet.
_open: ContextVar[dict[str, "WholeFiles"] | None] = ContextVar(
    "files_of_this_request", default=None
)


class WholeFiles(FileSystemStorage):
    """A file appears under its name when all of it is on the disk: a full disk leaves no half."""

    def _save(self, name: str, content: "File[Any]") -> str:
        os.makedirs(os.path.dirname(self.path(name)), mode=0o700, exist_ok=True)
        passing = self._written(name, content)
        try:
            name = self._named(passing, name)
        finally:
            with suppress(FileNotFoundError):
                os.unlink(passing)
        self._watch(name)
        return name

    def _written(self, name: str, content: "File[Any]") -> str:
        """All of it in a passing file beside its place, on the disk and private (mode 0600)."""
        handle, passing = tempfile.mkstemp(dir=os.path.dirname(self.path(name)), prefix=".passing-")
        try:
            with os.fdopen(handle, "wb") as out:
                for chunk in content.chunks():
                    out.write(chunk.encode() if isinstance(chunk, str) else chunk)
                out.flush()
                os.fsync(out.fileno())
        except BaseException:
            os.unlink(passing)
            raise
        return passing

    def _named(self, passing: str, name: str) -> str:
        """The name it got: the next free one when somebody else was quicker."""
        while True:
            try:
                os.link(passing, self.path(name))
            except FileExistsError:
                name = self.get_available_name(name)
            except OSError:  # a file system without links
                if not os.path.exists(self.path(name)):
                    os.replace(passing, self.path(name))
                    return name
                name = self.get_available_name(name)
            else:
                return name

    def _watch(self, name: str) -> None:
        written = _open.get()
        if written is not None:
            written[name] = self
            transaction.on_commit(lambda: written.pop(name, None))


def files_of_acts(get_response: Answer) -> Answer:
    """A request that came to nothing leaves no file: its act, which named it, was taken back."""

    def middleware(request: HttpRequest) -> HttpResponse:
        written: dict[str, WholeFiles] = {}
        token = _open.set(written)
        try:
            response = get_response(request)
        finally:
            _open.reset(token)
        if response.status_code >= 400:
            for name, storage in written.items():
                with suppress(OSError):
                    storage.delete(name)
        return response

    return middleware
