"""What is answered from memory is what the database would answer, whoever wrote and however."""

import datetime
import json
import subprocess
import sys
import threading
from contextlib import contextmanager

import pytest
from django.apps import apps
from django.db import connection, transaction
from django.db.models import Count, Exists, Max, Q
from django.db.models.functions import Now, Random
from django.http import HttpResponse
from django.test import RequestFactory
from django.test.utils import CaptureQueriesContext

from breeding.animals import revisions
from breeding.animals.models import Revision
from breeding.housing.models import Look, Tank
from breeding.program.frame import middleware
from breeding.program.frame.memory import for_one_request, known, remember
from breeding.program.frame.middleware import ProgramMiddleware
from breeding.program.models import Person, Program
from breeding.program.queries import the_program
from breeding.program.unchanged import tables, triggers
from breeding.program.unchanged.blank import forget_blank
from breeding.program.unchanged.changes import TABLE as NOTES
from breeding.program.unchanged.growing import forget_kept, kept_while_growing
from breeding.program.unchanged.marks import (
    NAME,
    TABLE,
    look_again,
    rests_on,
    standing_now,
    watched,
)
from breeding.program.unchanged.rows import SHELF, Shelf
from breeding.program.unchanged.values import VALUES, kept_while_unchanged
from tests.at_once import a_database_for_several

pytestmark = pytest.mark.django_db(transaction=True)
on_postgresql = pytest.mark.skipif(
    connection.vendor == "sqlite", reason="SQLite has one writer at a time, in one process"
)


@pytest.fixture(autouse=True)
def _nothing_kept_yet(transactional_db):
    SHELF.empty()
    VALUES.empty()
    forget_blank()
    look_again()
    watched(connection)
    yield
    SHELF.empty()
    VALUES.empty()
    forget_blank()
    look_again()


@pytest.fixture
def bay():
    return Tank.objects.create(name="Bay")


def names():
    """As the next request finds them."""
    with for_one_request(only_reads=True):
        return sorted(Tank.objects.values_list("name", flat=True))


def asked(read):
    """What a request asks the database for it, beside the marks."""
    with CaptureQueriesContext(connection) as queries, for_one_request(only_reads=True):
        read()
    return [one["sql"] for one in queries if TABLE not in one["sql"]]


def test_what_is_unchanged_is_asked_once(bay):
    assert names() == ["Bay"]
    assert asked(lambda: list(Tank.objects.values_list("name", flat=True))) == []
    assert asked(lambda: Tank.objects.exists()) != []
    assert asked(lambda: Tank.objects.exists()) == []
    assert asked(lambda: Tank.objects.aggregate(Count("pk"))) != []
    assert asked(lambda: Tank.objects.aggregate(Count("pk"))) == []


def test_the_same_is_asked_once_within_a_request(bay):
    assert len(asked(lambda: [list(Tank.objects.all()) for _ in range(3)])) == 1


def test_a_table_without_rows_is_not_asked(owner):
    assert asked(lambda: list(Tank.objects.all())) == []
    assert asked(lambda: Tank.objects.exists()) == []
    assert asked(lambda: list(Tank.objects.iterator())) == []
    assert asked(lambda: Look.objects.filter(tank__name="Bay").first()) == []
    with for_one_request(only_reads=True):
        assert Tank.objects.count() == 0
        assert Tank.objects.aggregate(Count("pk"), Max("name")) == {
            "pk__count": 0,
            "name__max": None,
        }
        assert list(Tank.objects.values("kind").annotate(n=Count("pk"))) == []
        assert Tank.objects.first() is None


def test_a_table_that_has_rows_now_is_asked():
    assert names() == []
    Tank.objects.create(name="Bay")
    assert names() == ["Bay"]
    Tank.objects.all().delete()
    assert names() == []


def test_a_table_found_without_rows_by_an_act_that_fills_it_is_asked(owner):
    """Before any page was: the act has changed nothing in it yet, and it was the first to look."""
    forget_blank()
    with for_one_request(), transaction.atomic():
        Tank.objects.update(note="none there yet")
        standing_now(connection)
        Tank.objects.create(name="Bay")
    assert names() == ["Bay"]


def test_rows_beside_a_table_without_rows_are_found(bay):
    with for_one_request(only_reads=True):
        assert list(Tank.objects.filter(looks=None)) == [bay]
        assert [tank.recorded_by for tank in Tank.objects.select_related("system")] == [None]
        assert Tank.objects.filter(Q(looks__isnull=True) | Q(name="Pool")).get() == bay
        assert Tank.objects.annotate(n=Count("looks")).get().n == 0
        assert Tank.objects.filter(~Exists(Look.objects.all())).get() == bay


def raw(sql, *values):
    with connection.cursor() as cursor:
        cursor.execute(sql, values)


def _copy(bay, name):
    return Tank(name=name)


WRITES = {
    "saved": lambda bay: Tank.objects.filter(pk=bay.pk).get().save() or _copy(bay, "Pool").save(),
    "many at once": lambda bay: Tank.objects.bulk_create([_copy(bay, "Pool")]),
    "unless there": lambda bay: Tank.objects.bulk_create(
        [_copy(bay, "Pool")], ignore_conflicts=True
    ),
    "updated": lambda bay: Tank.objects.update(name="Pool"),
    "changed together": lambda bay: Tank.objects.bulk_update(
        [Tank(pk=bay.pk, name="Pool")], ["name"]
    ),
    "deleted": lambda bay: Tank.objects.all().delete(),
    "raw update": lambda bay: raw("UPDATE housing_tank SET name = %s", "Pool"),
    "raw delete": lambda bay: raw("DELETE FROM housing_tank"),
    "marks emptied": lambda bay: raw(f"DELETE FROM {TABLE}") or Tank.objects.update(name="Pool"),
}


@pytest.mark.parametrize("write", WRITES.values(), ids=WRITES)
def test_every_write_is_seen_by_the_next_request(bay, write):
    assert names() == names() == ["Bay"]
    write(bay)
    assert names() == names() == sorted(Tank.objects.values_list("name", flat=True)) != ["Bay"]


def test_a_write_to_a_table_that_was_joined_is_seen(bay, owner):
    def read():
        with for_one_request(only_reads=True):
            return [
                tank.recorded_by.username for tank in Tank.objects.select_related("recorded_by")
            ]

    Tank.objects.update(recorded_by=owner)
    assert read() == read() == [owner.username]
    Person.objects.update(username="another")
    assert read() == ["another"]


def test_what_the_request_itself_has_written_it_reads(bay):
    names()
    with for_one_request(only_reads=True):
        assert [tank.name for tank in Tank.objects.all()] == ["Bay"]
        Tank.objects.update(name="Pool")
        assert [tank.name for tank in Tank.objects.all()] == ["Pool"]
        raw("UPDATE housing_tank SET name = %s", "Pond")
        assert [tank.name for tank in Tank.objects.all()] == ["Pond"]
    assert names() == ["Pond"]


def test_nothing_is_kept_or_read_inside_a_transaction(bay):
    names()
    with for_one_request(only_reads=True), transaction.atomic():
        Tank.objects.update(name="Never")
        assert [tank.name for tank in Tank.objects.all()] == ["Never"]
        transaction.set_rollback(True)
    assert names() == ["Bay"]
    with (
        transaction.atomic(),
        CaptureQueriesContext(connection) as queries,
        for_one_request(only_reads=True),
    ):
        list(Tank.objects.values_list("name", flat=True))
    assert len([one for one in queries if "housing_tank" in one["sql"]]) == 1


def test_a_request_that_may_write_asks_every_time(bay):
    names()
    with CaptureQueriesContext(connection) as queries, for_one_request():
        list(Tank.objects.values_list("name", flat=True))
        list(Tank.objects.values_list("name", flat=True))
    assert len(queries) == 2


def test_what_differs_by_itself_is_never_kept(bay):
    for read in (
        lambda: list(Tank.objects.annotate(now=Now()).values_list("now")),
        lambda: list(Tank.objects.annotate(one=Random()).values_list("one")),
    ):
        assert len(asked(read)) == len(asked(read)) == 1


def test_one_and_true_and_one_point_nought_are_three_questions(bay):
    from django.db.models import Value

    def read(value):
        with for_one_request(only_reads=True):
            return Tank.objects.annotate(one=Value(value)).values_list("one", flat=True)[0]

    assert [type(read(value)) for value in (1, 1.0, True, 1)] == [int, float, bool, int]


def test_who_changes_what_was_read_changes_it_for_nobody_else(bay):
    with for_one_request(only_reads=True):
        for tank in Tank.objects.all():
            tank.name = "Mine"
        rows = list(Tank.objects.values("name"))
        rows[0]["name"] = "Mine"
    assert names() == ["Bay"]
    with for_one_request(only_reads=True):
        assert Tank.objects.values("name")[0] == {"name": "Bay"}


@contextmanager
def another_thread():
    """Runs what it is given with a connection of its own, and waits for it."""

    def run(work):
        found = []

        def whole():
            try:
                found.append(work())
            finally:
                connection.close()

        thread = threading.Thread(target=whole)
        thread.start()
        thread.join(60)
        return found[0] if found else None

    yield run


def test_what_another_thread_writes_is_seen(bay, tmp_path):
    with a_database_for_several(tmp_path), another_thread() as run:
        assert names() == run(names) == ["Bay"]
        run(lambda: Tank.objects.update(name="Pool"))
        assert names() == ["Pool"]
        Tank.objects.update(name="Pond")
        assert run(names) == ["Pond"]


def test_what_another_thread_has_not_finished_is_not_seen(bay, tmp_path):
    with a_database_for_several(tmp_path), another_thread() as run:
        assert names() == ["Bay"]
        with transaction.atomic():
            Tank.objects.update(name="Never")
            assert run(names) == ["Bay"]
            transaction.set_rollback(True)
        assert names() == run(names) == ["Bay"]
        with transaction.atomic():
            Tank.objects.update(name="Pool")
            assert run(names) == ["Bay"]
        assert run(names) == names() == ["Pool"]


@on_postgresql
def test_two_who_write_at_once_are_both_seen_whoever_ends_first(bay):
    Tank.objects.create(name="Pond")
    with another_thread() as run:
        with transaction.atomic():
            Tank.objects.filter(name="Bay").update(name="First to begin")
            run(lambda: Tank.objects.filter(name="Pond").update(name="First to end"))
            assert run(names) == run(names) == ["Bay", "First to end"]
        assert names() == run(names) == ["First to begin", "First to end"]


@on_postgresql
def test_another_process_is_seen(bay):
    assert names() == ["Bay"]
    told = connection.get_connection_params()
    door = {name: str(told[name]) for name in ("dbname", "user", "host", "port") if told.get(name)}
    write = "UPDATE housing_tank SET name = 'Of another process'"
    subprocess.run(
        [sys.executable, "-c", f"import psycopg\nwith psycopg.connect(**{door!r}) as one: "
         f"one.execute({write!r})"],
        check=True,
        timeout=60,
    )  # fmt: skip
    assert names() == ["Of another process"]


@on_postgresql
def test_marks_put_together_are_new_ones_and_few(bay, monkeypatch):
    monkeypatch.setattr(triggers, "MOST_ROWS", 1)
    for name in ("Pool", "Pond"):
        Tank.objects.update(name=name)
    assert names() == ["Pond"]
    triggers.put_together()
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT COUNT(*) FROM {TABLE} WHERE name = 'housing_tank'")
        assert cursor.fetchone() == (1,)
    assert names() == ["Pond"]
    raw("UPDATE housing_tank SET name = %s", "Pool")
    assert names() == ["Pool"]


@on_postgresql
def test_many_statements_of_one_transaction_write_its_mark_once(bay):
    def versions():
        with connection.cursor() as cursor:
            cursor.execute(
                f"SELECT ctid::text, mark FROM {TABLE} WHERE name = 'housing_tank' "
                "AND writer = pg_current_xact_id()"
            )
            return cursor.fetchall()

    with transaction.atomic():
        Tank.objects.create(name="Pool")
        once = versions()
        for name in ("Pond", "Cove"):
            with transaction.atomic():
                Tank.objects.create(name=name)
        assert versions() == once != []
    assert sorted(names()) == ["Bay", "Cove", "Pond", "Pool"]


@on_postgresql
def test_a_mark_of_the_same_number_that_a_restore_brought_is_renewed(bay):
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_current_xact_id()::text")
        number = int(cursor.fetchone()[0])
        cursor.execute(
            f"INSERT INTO {TABLE} SELECT 'housing_tank', n::text::xid8, n "
            "FROM generate_series(%s, %s) AS n",
            [number + 1, number + 40],
        )
    for number in range(20):
        assert names() == [f"Tank {number - 1}" if number else "Bay"]
        Tank.objects.update(name=f"Tank {number}")


def test_a_table_without_its_triggers_is_asked_every_time_and_gets_them_back(bay):
    names()
    if connection.vendor == "sqlite":
        raw('DROP TRIGGER "mark_on_update_housing_tank"')
    else:
        raw("DROP TRIGGER mark_on_write ON housing_tank")
    look_again()
    Tank.objects.update(name="Pool")
    assert names() == ["Pool"]
    triggers.make_triggers(apps.get_app_config("housing"), using="default")
    assert names() == names() == ["Pool"]
    Tank.objects.update(name="Pond")
    assert names() == ["Pond"]


def made_again() -> list[str]:
    """The triggers that are made after a migration of the fish house."""
    with CaptureQueriesContext(connection) as asked:
        triggers.make_triggers(apps.get_app_config("housing"), using="default")
    return [one["sql"] for one in asked if " TRIGGER mark" in one["sql"].replace('"', "")]


def told_of_a_change(bay) -> set[str]:
    """What is noted of a look at a tank that is removed."""
    raw(f"DELETE FROM {NOTES}")
    Look.objects.create(tank=bay, on=datetime.date(2031, 5, 1)).delete()
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT CAST(told AS text) FROM {NOTES}")
        [(told,)] = cursor.fetchall()
    return set(json.loads(told))


def test_triggers_that_tell_less_than_is_asked_now_are_made_anew(bay, monkeypatch):
    assert made_again() == []
    with monkeypatch.context() as earlier:
        earlier.setattr(triggers, "told_fields", lambda table: tables.told_fields(table)[:1])
        assert made_again()
        assert told_of_a_change(bay) == {"id"}
    assert made_again()
    assert told_of_a_change(bay) == {"id", "tank_id", "on"}
    assert made_again() == []


@pytest.mark.one_database("PostgreSQL calls functions that are made anew each time")
def test_triggers_that_an_earlier_version_made_are_made_anew(bay):
    name = "mark_on_update_housing_tank"
    raw(f'DROP TRIGGER "{name}"')
    raw(f'CREATE TRIGGER "{name}" AFTER UPDATE ON "housing_tank" BEGIN SELECT 1; END')
    triggers.make_triggers(apps.get_app_config("housing"), using="default")
    assert names() == ["Bay"]
    Tank.objects.update(name="Pool")
    assert names() == ["Pool"]
    raw(f"DELETE FROM {TABLE}")
    assert names() == ["Pool"]
    Tank.objects.update(name="Pond")
    assert names() == ["Pond"]


def test_every_table_has_its_triggers_unless_it_is_about_signing_in():
    without = {
        model._meta.db_table
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy
    } - watched(connection)
    assert {table for table in without if table not in tables.APART_TABLES} == {
        *("auth_group", "auth_group_permissions", "auth_permission", "django_admin_log"),
        *("axes_accessattempt", "axes_accessattemptexpiration", "axes_accessfailurelog"),
        *("axes_accesslog", "django_session", "otp_static_staticdevice"),
        *("otp_static_statictoken", "otp_totp_totpdevice"),
    }


def test_a_shelf_holds_no_more_than_it_may():
    shelf = Shelf(most=100, most_of_one=60)
    for question in "abc":
        shelf.keep(question, 1, question, 40)
    assert shelf.size == 80
    assert shelf.find("a", 1) is None
    assert shelf.find("b", 2) is None
    assert shelf.find("b", 1).answer == "b"
    shelf.keep("d", 1, "d", 40)
    assert shelf.find("c", 1) is None, "b was asked later"
    shelf.keep("b", 1, "too large", 61)
    assert shelf.find("b", 1) is None
    assert (len(shelf), shelf.size) == (1, 40)


# ------------------------------------------------------------------- what is reckoned from rows


def reckoned(make, key="how many"):
    with for_one_request(only_reads=True):
        return kept_while_unchanged(key, make)


class Counting:
    """How many tanks there are, and how often that was reckoned."""

    times = 0

    def __call__(self):
        self.times += 1
        return Tank.objects.count()


def test_what_was_reckoned_is_kept_until_its_rows_are_written(bay, owner):
    count = Counting()
    assert [reckoned(count) for _ in range(3)] == [1, 1, 1]
    Person.objects.update(username="another")
    assert (reckoned(count), count.times) == (1, 1)
    raw("DELETE FROM housing_tank")
    assert (reckoned(count), reckoned(count), count.times) == (0, 0, 2)


def test_rows_from_memory_and_what_was_kept_before_count_as_read(bay):
    names()
    inner = lambda: len(Tank.objects.values_list("name", flat=True))  # noqa: E731

    def outer():
        return kept_while_unchanged("inner", inner) * 10

    assert reckoned(inner, "inner") == 1
    assert [reckoned(outer, "outer") for _ in range(2)] == [10, 10]
    Tank.objects.create(name="Pool")
    assert reckoned(outer, "outer") == 20


def test_what_a_request_remembers_already_is_read_again_for_what_is_kept(bay):
    from breeding.program.frame.memory import remembered

    def make():
        return remembered("tanks", Tank.objects.count)

    with for_one_request(only_reads=True):
        assert make() == kept_while_unchanged("by memory", make) == 1
    Tank.objects.create(name="Pool")
    assert reckoned(make, "by memory") == 2


def test_what_was_taken_along_from_before_a_write_is_not_kept_as_read_after_it(owner):
    """Somebody else changed who is whose parent before this request, which only reads, wrote."""
    revisions.parentage_changed()

    def lineage():
        return revisions.current().lineage

    with for_one_request(only_reads=True):
        lineage()
        Revision.objects.update(lineage="another")
        kept_while_unchanged("lineage", lineage)
    assert reckoned(lineage, "lineage") == "another"


def test_a_row_added_to_a_table_that_does_not_grow_daily_matters(bay):
    def page():
        with for_one_request(only_reads=True):
            return kept_while_growing("tanks", Tank.objects.count, {Tank: lambda written: False})

    forget_kept()
    assert page() == page() == 1
    Tank.objects.create(name="Pool")
    assert page() == 2
    forget_kept()


def test_a_page_whose_program_is_changed_at_its_beginning_keeps_nothing_of_the_old_one(
    owner, monkeypatch
):
    def page(request):
        def rest_days():
            rests_on(Program)
            return request.program.rest_days

        return HttpResponse(kept_while_unchanged("rest", rest_days))

    def as_somebody_else_changes_it():
        program, marks = the_program(), known(NAME)
        Program.objects.update(rest_days=program.rest_days + 7)
        if marks:  # this request read them before, and has written nothing itself
            remember(NAME, marks)
        return program

    answer, days = ProgramMiddleware(page), the_program().rest_days
    with monkeypatch.context() as meanwhile:
        meanwhile.setattr(middleware, "the_program", as_somebody_else_changes_it)
        answer(RequestFactory().get("/"))
    assert answer(RequestFactory().get("/")).content.decode() == str(days + 7)


def test_what_is_read_past_the_models_counts_and_what_writes_is_not_kept(bay):
    def raw_count():
        with connection.cursor() as cursor:
            cursor.execute('SELECT COUNT(*) FROM "housing_tank"')
            return cursor.fetchone()[0]

    def unquoted():
        with connection.cursor() as cursor:
            cursor.execute("SELECT COUNT(*) FROM housing_tank")
            return cursor.fetchone()[0]

    def writing():
        Tank.objects.update(note="seen")
        return Tank.objects.count()

    makes = {"raw": raw_count, "unquoted": unquoted, "writing": writing}
    assert [reckoned(make, key) for key, make in makes.items()] == [1, 1, 1]
    Tank.objects.create(name="Pool")
    assert [reckoned(make, key) for key, make in makes.items()] == [2, 2, 2]


def test_nothing_reckoned_is_kept_inside_a_transaction(bay):
    count = Counting()
    reckoned(count)
    with for_one_request(only_reads=True), transaction.atomic():
        Tank.objects.create(name="Never")
        assert kept_while_unchanged("how many", count) == 2
        transaction.set_rollback(True)
    assert reckoned(count) == 1


def test_days_are_reckoned_anew_in_another_time_zone(bay):
    from django.utils import timezone

    def here():
        Tank.objects.count()
        return timezone.get_current_timezone_name()

    for zone in ("Asia/Tokyo", "America/Lima"):
        with timezone.override(zone):
            assert reckoned(here) == reckoned(here) == zone


def test_what_is_kept_cannot_be_changed_by_who_reads_it(bay):
    def make():
        return {"sizes": [Tank.objects.count(), 2], "all": {3}}

    for _ in range(2):
        found = reckoned(make)
        assert dict(found) == {"sizes": (1, 2), "all": frozenset({3})}
        with pytest.raises(TypeError):
            found["sizes"] = ()
    with pytest.raises(TypeError, match="Tank can be changed by who reads it"):
        reckoned(lambda: [Tank.objects.get()], "rows")
