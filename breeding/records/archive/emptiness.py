"""Whether a home holds nothing yet, so that an archive can become its program."""

from pathlib import Path

from django.conf import settings
from django.db import connection

from breeding.records.archive.kinds import KINDS
from breeding.records.archive.kinds.kind import Kind
from breeding.records.archive.reading import Archive, ArchiveError
from breeding.words.language import tell
from breeding.words.numbers import some

# What every new program has from its first start, with the history of its coming in.
WITH_THE_TOOL = ("profile_figures", "species", "profiles", "sign_kinds", "history")


def refuse_unless_empty(archive: Archive) -> None:
    """Asked before the tables are brought up to date: a program of somebody's is not touched.

    Raises ArchiveError with what is there.
    """
    with connection.cursor() as cursor:
        tables = set(connection.introspection.table_names(cursor))
        found = [kind.name for kind in KINDS if _is_somebodys(kind, tables)]
    if found:
        raise ArchiveError(
            tell(
                "The program in {place} is not empty: it has {records}. "
                "Name an empty directory with --home.",
                place=settings.HOME,
                records=some(found, 5),
            )
        )
    files = Path(settings.MEDIA_ROOT)
    if files.exists() and any(files.iterdir()):
        raise ArchiveError(
            tell("There are files in {place} already; name an empty directory.", place=files)
        )
    for entry in archive.keys:
        place = Path(settings.HOME) / Path(entry.path).name
        if place.exists():
            raise ArchiveError(
                tell(
                    "{place} is there already; move it away, or name another directory.",
                    place=place,
                )
            )


def _is_somebodys(kind: Kind, tables: set[str]) -> bool:
    table = kind.model._meta.db_table
    if kind.name in WITH_THE_TOOL or table not in tables:
        return False
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT 1 FROM {connection.ops.quote_name(table)} LIMIT 1")  # noqa: S608
        return cursor.fetchone() is not None


def take_away_what_comes_with_the_tool() -> None:
    """Species, figures and signs of the tool make room for those of the archive."""
    for name in WITH_THE_TOOL:
        kind = next(kind for kind in KINDS if kind.name == name)
        kind.model._base_manager.all()._raw_delete(connection.alias)
