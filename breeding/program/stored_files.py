"""Uploaded files, on the disk before the row that names them is."""

import os
from typing import Any

from django.core.files.storage import FileSystemStorage

from breeding.home_swap import sync


class FilesOnDisk(FileSystemStorage):
    """What was acknowledged survives a power failure, as every row does.

    A file is written once, under a name that is free, and never changed: a backup rests on it.
    """

    def save(self, name: str | None, content: Any, max_length: int | None = None) -> str:
        saved = super().save(name, content, max_length)
        path = self.path(saved)
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
        folder = os.path.dirname(path)
        sync(folder)
        sync(os.path.dirname(folder))  # the folder itself may be new
        return saved
