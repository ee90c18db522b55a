"""How many records of each kind a database holds, and the newest of each, whatever its state."""

from collections.abc import Callable, Sequence
from typing import Any

from django.apps import apps
from django.db import models
from django.utils.translation import override

from breeding.program.backup.manifest import Counted
from breeding.program.unchanged import changes, marks
from breeding.words.language import message

Ask = Callable[[str], Sequence[Sequence[Any]]]  # runs a query, gives its rows

# Which column says when a row was written: the first of these that a table has.
MOMENTS = (
    *("recorded_at", "timestamp", "issued_at", "created_at", "made_at", "uploaded_at", "sent_at"),
    *("kept_at", "at", "date_joined", "applied"),
)

# Those that a library names, and those whose name says nothing to who keeps animals.
NAMED = {
    "auditlog_logentry": message("changes in the history"),
    "offers_salespage_pups": message("pups on sales pages"),
    "otp_static_statictoken": message("recovery codes"),
    "otp_totp_totpdevice": message("apps for the second step"),
    "program_act": message("forms that were sent"),
    "records_importdraft_animals": message("animals brought in by tables"),
}


def count_tables(ask: Ask, columns: dict[str, list[str]]) -> list[Counted]:
    """Of every table that is there. columns: those of each table, by its name."""
    names = _names()
    found = []
    for table in sorted(columns.keys() - {marks.TABLE, changes.TABLE}):  # no records
        moment = next((one for one in MOMENTS if one in columns[table]), None)
        newest = f'MAX("{moment}")' if moment else "NULL"
        ((rows, latest),) = ask(f'SELECT COUNT(*), {newest} FROM "{table}"')  # noqa: S608
        written = str(latest)[:16] if latest is not None else ""
        found.append(Counted(table, names.get(table, table), int(rows), written))
    return found


def applied(ask: Ask, tables: dict[str, list[str]]) -> dict[str, list[str]]:
    """The migrations that this database has seen, by room."""
    found: dict[str, list[str]] = {}
    if "django_migrations" in tables:
        for room, name in ask("SELECT app, name FROM django_migrations ORDER BY app, name"):
            found.setdefault(str(room), []).append(str(name))
    return found


def program_name(ask: Ask, tables: dict[str, list[str]]) -> str:
    rows = ask("SELECT name FROM program_program") if "program_program" in tables else []
    return str(rows[0][0]) if rows else ""


def files_named(ask: Ask, columns: dict[str, list[str]]) -> list[str]:
    """The files that records name, each once, as they are called under MEDIA_ROOT."""
    found: set[str] = set()
    for model in apps.get_models():
        table = model._meta.db_table
        for field in model._meta.concrete_fields:
            column = str(field.column)
            if isinstance(field, models.FileField) and column in columns.get(table, []):
                rows = ask(f'SELECT DISTINCT "{column}" FROM "{table}"')  # noqa: S608
                found.update(str(name) for (name,) in rows if name)
    return sorted(found)


def _names() -> dict[str, str]:
    """As they are written in the code, for a file that is read in any language."""
    with override(None):
        return {
            model._meta.db_table: NAMED.get(
                model._meta.db_table, str(model._meta.verbose_name_plural)
            )
            for model in apps.get_models(include_auto_created=True)
        }
