"""Fixtures shared by every room's tests."""

import os

import pytest
from django.test import Client

from breeding.animals.models import Species
from breeding.pairings.species_file import load_species
from breeding.program.models import Person
from tests import cast

# The browser driver keeps an event loop in the test's thread; the tests are not asynchronous.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")


@pytest.fixture(autouse=True)
def _own_files(settings, tmp_path):
    """Uploaded files of one test are nobody else's."""
    settings.MEDIA_ROOT = tmp_path / "files"


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker) -> None:
    """Species, figures and signs are in the test database from the start: they never change."""
    with django_db_blocker.unblock():
        load_species()


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


def _signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


@pytest.fixture
def as_owner(owner) -> Client:
    return _signed_in(owner)


@pytest.fixture
def as_keeper(keeper) -> Client:
    return _signed_in(keeper)


@pytest.fixture
def as_viewer(viewer) -> Client:
    return _signed_in(viewer)


@pytest.fixture
def stranger(owner) -> Client:
    """Somebody who is not signed in, on a program that is set up."""
    return Client()
