"""Fixtures shared by every room's tests."""

import gc
import itertools
import os
import sqlite3
from collections.abc import Iterator
from unittest import TestCase

import pytest
from django.db import DatabaseError, transaction
from django.test import Client, TransactionTestCase, override_settings

from benchmarks.started import forget_everything
from breeding.animals.models import Species
from breeding.pairings.species_file import load_species
from breeding.program.models import Person
from tests import cast, tries
from tests.as_it_was import keep_migrated, laid_aside

# The browser driver keeps an event loop in the test's thread; the tests are not asynchronous.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
tries.draw_alike()


# Whoever has one of these, itself or through another fixture, can reach the database.
DOORS = {"db", "transactional_db", "live_server", "django_db_setup"}


def _may_touch_the_database(item: pytest.Item) -> bool:
    """False only where pytest-django refuses the database: no mark, no fixture that opens it."""
    if not isinstance(item, pytest.Function) or issubclass(item.cls or object, TestCase):
        return True
    marked = item.get_closest_marker("django_db") is not None
    return marked or not DOORS.isdisjoint(item.fixturenames)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if _may_touch_the_database(item):
            item.add_marker("database")
        for alone in item.iter_markers("one_database"):
            if len(alone.args) != 1 or len(str(alone.args[0]).split()) < 3:
                raise pytest.UsageError(f"{item.nodeid}: one_database needs its reason in words.")


def pytest_fixture_setup(fixturedef, request) -> None:
    """Nobody opens the database on the way: a test without the mark is left out on PostgreSQL."""
    opens = fixturedef.argname in ("db", "transactional_db", "_django_db_helper")
    if opens and request.node.get_closest_marker("database") is None:
        pytest.fail("Ask for the database by a mark or a fixture named in the test's own list.")


@pytest.fixture(scope="session")
def _nothing_is_thrown_away():
    """Migrations make thousands of classes: a quarter of their time goes into looking for old ones.

    `django_db_setup` asks for this before the migrations, and ends it after them.
    """
    gc.disable()


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Iterator[None]:
    """What is collected stays to the end: nothing of it need be looked through for garbage."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


@pytest.fixture(scope="session", autouse=True)
def _no_waiting_for_the_disk():
    """Files of tests need not survive a power failure."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(os, "fsync", lambda file: None)
        yield


@pytest.fixture(scope="session")
def _places(tmp_path_factory):
    """A directory for each test: `tmp_path` looks at all there are before it makes one more."""
    beside = tmp_path_factory.mktemp("own")
    return (beside / str(number) for number in itertools.count())


@pytest.fixture(autouse=True)
def _own_files(_places):
    """Uploaded files of one test are nobody else's, nor are its backups."""
    place = next(_places)
    place.mkdir()
    with override_settings(MEDIA_ROOT=place / "files", BACKUPS=place / "backups"):
        yield


@pytest.fixture(scope="session")
def django_db_setup(_nothing_is_thrown_away, django_db_setup, django_db_blocker):
    """Species, figures and signs are in the test database from the start, and after each test."""
    gc.enable()
    gc.collect()
    with django_db_blocker.unblock():
        keep_migrated()
        load_species()
        give_back = laid_aside()
    empty_all = TransactionTestCase._fixture_teardown

    def back(case: TransactionTestCase) -> None:
        try:
            give_back()
        except (DatabaseError, sqlite3.Error):  # something is still being read: as Django does it
            empty_all(case)

    with pytest.MonkeyPatch.context() as patched:
        if give_back:
            patched.setattr(TransactionTestCase, "_fixture_teardown", back)
        yield


@pytest.fixture(scope="module")
def kept_for_the_file(django_db_setup, django_db_blocker):
    """What module fixtures write after asking for this stands for a whole file of tests.

    Each test still undoes what it wrote itself; all is taken back after the last of them.
    """
    with django_db_blocker.unblock(), transaction.atomic():
        if not Species.objects.exists():
            load_species()
        yield
        transaction.set_rollback(True)


@pytest.fixture
def species_data(db) -> None:
    """Species, figures and signs as they come with the tool, also after a test that emptied all."""
    if not Species.objects.exists():
        load_species()


@pytest.fixture
def owner(species_data) -> Person:
    return cast.owner()


@pytest.fixture
def keeper(owner) -> Person:
    return cast.keeper()


@pytest.fixture
def viewer(owner) -> Person:
    return cast.viewer()


@pytest.fixture
def as_owner(owner) -> Client:
    return cast.signed_in(owner)


@pytest.fixture
def as_keeper(keeper) -> Client:
    return cast.signed_in(keeper)


@pytest.fixture
def as_viewer(viewer) -> Client:
    return cast.signed_in(viewer)


@pytest.fixture
def stranger(owner) -> Client:
    """Somebody who is not signed in, on a program that is set up."""
    return Client()


@pytest.fixture
def nothing_kept(transactional_db) -> Iterator[None]:
    """As in a process that was started just now, and left so: what is kept is asked about."""
    forget_everything()
    yield
    forget_everything()
