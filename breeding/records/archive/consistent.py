"""Rows as they were loaded, held against each other; and the numbers that the next ones get."""

from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db import connection
from django.db.models import Exists, Max, OuterRef

from breeding.records.archive.columns import Column, columns_of
from breeding.records.archive.kinds import KINDS
from breeding.records.archive.kinds.kind import Kind
from breeding.records.archive.reading import ArchiveError


def refuse_what_points_nowhere() -> None:
    """Raises ArchiveError naming a row that points to one that is not there."""
    for kind in KINDS:
        for column in columns_of(kind):
            if column.points_to:
                _refuse(kind, column)


def _refuse(kind: Kind, column: Column) -> None:
    name, target = column.field.attname, column.field.related_model
    there = target._base_manager.filter(pk=OuterRef(name))  # type: ignore[union-attr]
    rows = kind.model._base_manager.exclude(**{f"{name}__isnull": True})
    lost = rows.exclude(Exists(there)).values_list("pk", name).first()
    if lost is not None:
        raise ArchiveError(
            f"{kind.file}, id {lost[0]}: {column.name} is {lost[1]}, which is not in "
            f"{column.points_to}."
        )


def go_on_counting() -> None:
    """New rows get numbers that no row ever had, also none that the history only speaks of."""
    told = dict(
        LogEntry.objects.order_by()
        .values_list("content_type")
        .annotate(Max("object_id"))
        .values_list("content_type", "object_id__max")
    )
    for kind in KINDS:
        model = kind.model
        of_it = ContentType.objects.get_for_model(model).pk
        there = model._base_manager.aggregate(last=Max("pk"))["last"] or 0
        _count_on(model._meta.db_table, max(there, told.get(of_it) or 0))


def _count_on(table: str, last: int) -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT setval(pg_get_serial_sequence(%s, 'id'), %s, %s)",
                [connection.ops.quote_name(table), max(last, 1), last > 0],
            )
        else:
            cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [table])
            cursor.execute("INSERT INTO sqlite_sequence (name, seq) VALUES (%s, %s)", [table, last])
