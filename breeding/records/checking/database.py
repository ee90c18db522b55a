"""The database itself: damage, what is missing of it, and rows that point to nothing."""

from collections.abc import Iterator

from django.apps import apps
from django.db import connection, models

from breeding.program.serving import database
from breeding.records.checking.finding import RESTORE, THE_DATABASE, Finding, of_record
from breeding.records.checking.gathered import Gathered
from breeding.words.language import tell

MOST_DAMAGE = 20
MOST_ROWS = 50  # of one kind that point to nothing: all of them have one cause


def what_is_missing() -> Iterator[Finding]:
    """What every other part of the check rests on: while it is not there, nothing else is asked."""
    if wrong := database.damage():
        yield Finding(
            tell(THE_DATABASE), tell("It is damaged: {wrong}.", wrong=wrong), tell(RESTORE)
        )
        return
    if unknown := database.unknown_migrations():
        yield Finding(
            tell(THE_DATABASE),
            tell(
                "A newer version of Rayward has worked on it: {names}.",
                names=database.some_of(unknown),
            ),
            tell("Start the newer version, or restore a backup from before."),
        )
    if database.is_behind():
        yield Finding(
            tell(THE_DATABASE),
            tell("It is of an earlier version of Rayward."),
            tell("Start Rayward once: `manage.py start` brings it up to date."),
        )
    for lost in database.missing():
        words = tell("There is no {part}.", part=lost.removeprefix("the "))
        yield Finding(tell(THE_DATABASE), words, tell(RESTORE))


def rules_broken(gathered: Gathered) -> Iterator[Finding]:
    """What SQLite finds against its own rules; PostgreSQL lets nothing of the kind in."""
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA integrity_check({MOST_DAMAGE})")
        said = [" ".join(str(line).split()) for (line,) in cursor.fetchall()]
    for line in said:
        if line != "ok":
            words = tell("It breaks a rule of its own: {rule}.", rule=line)
            yield Finding(tell(THE_DATABASE), words, tell(RESTORE))


def pointing_to_nothing(gathered: Gathered) -> Iterator[Finding]:
    """Rows whose other end is gone: one query for each column that points to something."""
    for model in apps.get_models(include_auto_created=True):
        if model._meta.managed and not model._meta.proxy:
            for column in model._meta.local_concrete_fields:
                if isinstance(column, models.ForeignKey):
                    yield from _of_column(model, column)


def _of_column(
    model: type[models.Model], column: "models.ForeignKey[models.Model, models.Model]"
) -> Iterator[Finding]:
    lost = _lost(model, column)
    rows = model._base_manager.in_bulk([key for key, _ in lost]) if lost else {}
    for key, points_to in lost:
        if row := rows.get(key):
            other = column.related_model._meta.verbose_name
            yield of_record(
                row,
                tell(
                    "Its {column} is {kind} {number}, which is not there.",
                    column=column.verbose_name,
                    kind=other,
                    number=points_to,
                ),
                " ".join(
                    (
                        tell(
                            "Choose another {column} on its page, or withdraw it.",
                            column=column.verbose_name,
                        ),
                        tell(RESTORE),
                    )
                ),
            )


def _lost(
    model: type[models.Model], column: "models.ForeignKey[models.Model, models.Model]"
) -> list[tuple[int, object]]:
    name = connection.ops.quote_name
    own, other = name(model._meta.db_table), name(column.related_model._meta.db_table)
    key, points = name(str(model._meta.pk.column)), name(column.column)
    there = name(str(column.target_field.column))
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT a.{key}, a.{points} FROM {own} a LEFT JOIN {other} b "  # noqa: S608 - names of
            f"ON a.{points} = b.{there} WHERE a.{points} IS NOT NULL AND b.{there} IS NULL "  # our
            f"ORDER BY a.{key} LIMIT {MOST_ROWS}"  # own tables, quoted
        )
        return list(cursor.fetchall())
