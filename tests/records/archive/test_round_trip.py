"""Out, into an empty program, and out again: the same files but for the manifest's moment.

The demonstration goes the same way in `tests/demo/test_program.py`.
"""

from functools import partial

import pytest
from django.db import IntegrityError, models, transaction
from django.test import override_settings
from hypothesis import HealthCheck, given
from hypothesis import settings as tried
from hypothesis import strategies as some

from breeding.animals.models import Animal, Species
from breeding.animals.services import register_animal
from breeding.pairings.species_file import load_species
from breeding.program.models import Person
from breeding.records.archive.columns import columns_of
from breeding.records.archive.kinds import KINDS
from breeding.sheets.models import Sheet
from breeding.sheets.standing import standing_of
from tests import cast
from tests.records.archive.filled import every_kind
from tests.records.archive.generated import live
from tests.records.archive.loop import (
    check_round_trip,
    counts_of,
    files_of,
    load,
    taken_out,
)
from tests.records.archive.test_cells import of_the_type
from tests.tries import tries

pytestmark = pytest.mark.django_db
FEW = partial(
    tried,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@pytest.fixture(scope="class")
def every(django_db_setup, django_db_blocker, tmp_path_factory):
    """One of everything, once for a class of tests, and its home; taken back at the end."""
    home = tmp_path_factory.mktemp("first")
    with (
        django_db_blocker.unblock(),
        override_settings(HOME=home, MEDIA_ROOT=home / "files"),
        transaction.atomic(),
    ):
        if not Species.objects.exists():
            load_species()
        every_kind()
        yield home
        transaction.set_rollback(True)


@pytest.fixture
def filled(every, settings):
    settings.HOME, settings.MEDIA_ROOT = every, every / "files"


@pytest.mark.usefixtures("filled")
class TestWithEveryKindOfRecord:
    def test_nothing_is_lost(self, settings, tmp_path):
        counts = counts_of(check_round_trip(settings, tmp_path / "home"))
        assert [name for name, rows in counts.items() if not rows] == []

    def test_nothing_else_is_lost_without_keys(self, settings, tmp_path):
        archive = check_round_trip(settings, tmp_path / "home", with_keys=False)
        assert b"password" not in files_of(archive)["records/people.csv"]
        assert not any(path.startswith("keys/") for path in files_of(archive))
        assert not Person.objects.get(username="jo").has_usable_password()

    def test_two_archives_differ_in_the_moment_alone(self):
        first, again = taken_out(), taken_out()
        assert first == again

    def test_the_next_rows_get_numbers_that_no_row_ever_had(self, settings, tmp_path):
        gone = register_animal(by=None, call_name="Gone")
        last = gone.pk
        Animal.every.filter(pk=last).delete()
        load(taken_out(), settings, tmp_path / "home")
        assert register_animal(by=None, call_name="New").pk == last + 1

    def test_people_sign_in_as_before_where_keys_came_along(self, settings, tmp_path, client):
        load(taken_out(), settings, tmp_path / "home")
        client.post("/sign-in/", {"username": "jo", "password": cast.PASSWORD})
        assert client.get("/account/").status_code == 200

    def test_an_issued_sheet_is_as_it_was_issued(self, settings, tmp_path):
        load(taken_out(), settings, tmp_path / "home")
        standing = standing_of(Sheet.objects.get())
        assert standing.is_signed
        assert standing.is_unaltered

    @FEW(max_examples=tries(8))
    @given(some.data())
    def test_whatever_stands_in_the_fields_comes_back(self, settings, tmp_path_factory, data):
        with transaction.atomic():
            change_some(data)
            check_round_trip(settings, tmp_path_factory.mktemp("loop") / "home")
            transaction.set_rollback(True)


@FEW(max_examples=tries(8))
@given(some.data())
def test_a_program_drawn_by_chance_comes_back(species_data, settings, tmp_path_factory, data):
    with transaction.atomic():
        live(data)
        counts = counts_of(check_round_trip(settings, tmp_path_factory.mktemp("loop") / "home"))
        assert counts["animals"] >= 2
        transaction.set_rollback(True)


def change_some(data) -> None:
    """Other values in fields drawn at random, where no rule of the records is broken by them."""
    columns = [one for kind in KINDS for one in columns_of(kind) if _is_free(one)]
    for one in data.draw(some.lists(some.sampled_from(columns), min_size=15, max_size=15)):
        value = data.draw(of_the_type(one))
        try:
            with transaction.atomic():
                one.kind.model._base_manager.update(**{one.field.name: value})
        except IntegrityError:
            continue


def _is_free(column) -> bool:
    field = column.field
    return not (
        field.primary_key or field.related_model or field.unique
        or isinstance(field, models.FileField) or column.kind.name == "history"
    )  # fmt: skip
