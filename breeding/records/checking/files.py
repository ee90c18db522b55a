"""Files that are named and not there, files that nothing names, and the key for sheets."""

import os
import time
from collections.abc import Iterator
from pathlib import Path

from auditlog.models import LogEntry
from django.conf import settings
from django.contrib.contenttypes.models import ContentType
from django.db import models

from breeding.program.models import KeptForm
from breeding.records.checking.finding import Finding, of_record
from breeding.records.checking.gathered import Gathered, kept_models
from breeding.sheets.sealing.lost_key import LOST, is_lost
from breeding.words.language import message, tell

NEW_SECONDS = 60 * 60  # a file is written before the record that names it
LEAVE = message(
    "Nothing leads to it, and no page shows it. Move it elsewhere once you have a backup; nothing "
    "else changes."
)


def missing_files(gathered: Gathered) -> Iterator[Finding]:
    """Files that a record names and the directory does not have."""
    there = set(_files_there())
    for model in _with_files():
        names = [one.name for one in _file_columns(model)]
        for row in model._base_manager.order_by("pk"):
            for name in names:
                kept = getattr(row, name).name
                if kept and os.path.normpath(kept) not in there:
                    yield of_record(
                        row,
                        tell("Its file {file} is not there.", file=kept),
                        tell(
                            "Put the file back from a backup, into {path}; or withdraw the record.",
                            path=Path(settings.MEDIA_ROOT) / kept,
                        ),
                    )


def files_of_nobody(gathered: Gathered) -> Iterator[Finding]:
    """Files that no record names, nor any change that can be undone."""
    there = _files_there()
    for name in sorted(there.keys() - _named()):
        if time.time() - there[name] > NEW_SECONDS:
            yield Finding(
                tell("the file {name}", name=name), tell("No record names it."), tell(LEAVE)
            )


def lost_key(gathered: Gathered) -> Iterator[Finding]:
    """The key that signed the sheets on record."""
    home = Path(settings.HOME)
    if is_lost(home):
        yield Finding(
            tell("the key for sheets"),
            tell(LOST, name="sheet_key.pem"),
            tell(
                "Put it back into {home} from a backup; or start with --new-sheet-key.", home=home
            ),
        )


def _files_there() -> dict[str, float]:
    """Every file under the directory of files, and when it was last written."""
    top = Path(settings.MEDIA_ROOT)
    return {
        str(path.relative_to(top)): path.stat().st_mtime
        for path in top.rglob("*")
        if path.is_file()
    }


def _file_columns(model: type[models.Model]) -> list[models.FileField]:
    return [one for one in model._meta.concrete_fields if isinstance(one, models.FileField)]


def _with_files() -> list[type[models.Model]]:
    return [model for model in kept_models() if _file_columns(model)]


def _named() -> set[str]:
    named: set[str] = set()
    for model in _with_files():
        for column in _file_columns(model):
            named.update(model._base_manager.exclude(**{column.name: ""}).values_list(
                column.name, flat=True
            ))  # fmt: skip
    for files in KeptForm.objects.values_list("files", flat=True):
        named.update(path for _, _, _, path in files)
    named.update(_named_in_history())
    return {os.path.normpath(one) for one in named}


def _named_in_history() -> Iterator[str]:
    """What a record named before it was changed: undoing brings it back."""
    for model in _with_files():
        columns = [one.name for one in _file_columns(model)]
        kind = ContentType.objects.get_for_model(model)
        for changes in LogEntry.objects.filter(content_type=kind).values_list("changes", flat=True):
            for column in columns:
                yield from (str(one) for one in (changes or {}).get(column, ()) if one)
