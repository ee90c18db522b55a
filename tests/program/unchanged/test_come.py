"""What was written since an answer was kept, whoever writes at once, and in which order."""

import random

import pytest
from django.db import connection, transaction

from breeding.pairings.models import Sighting
from breeding.program.frame.memory import for_one_request
from breeding.program.unchanged import triggers
from breeding.program.unchanged.each import forget_each, kept_of_each
from breeding.program.unchanged.growing import forget_kept, kept_while_growing
from breeding.program.unchanged.marks import look_again
from tests import cast
from tests.cast import see

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(
        connection.vendor == "sqlite", reason="SQLite has one writer at a time, in one process"
    ),
]
FEMALES, WRITERS, STEPS = 6, 3, 300


@pytest.fixture(autouse=True)
def _nothing_kept_yet(transactional_db):
    for forget in (look_again, forget_each, forget_kept):
        forget()
    yield
    for forget in (look_again, forget_each, forget_kept):
        forget()


@pytest.fixture
def females(owner):
    """Each was seen once."""
    found = [cast.female(f"Ray {n}") for n in range(FEMALES)]
    for one in found:
        see(one, 3)
    return found


@pytest.fixture
def writers():
    """Connections of their own, each in a transaction once it has written."""
    import psycopg

    told = connection.get_connection_params()
    door = {name: told[name] for name in ("dbname", "user", "host", "port") if told.get(name)}
    opened = [psycopg.connect(**door) for _ in range(WRITERS)]
    yield opened
    for one in opened:
        one.close()


def write(writer, female):
    columns = ", ".join(
        f'"{one.column}"' for one in Sighting._meta.concrete_fields if one.column != "id"
    )
    given = columns.replace('"female_id"', "%s")
    writer.execute(
        f"INSERT INTO pairings_sighting ({columns}) "
        f"SELECT {given} FROM pairings_sighting ORDER BY id LIMIT 1",
        [female.pk],
    )


def change(writer, female, other):
    """The newest of hers is the other's by now."""
    writer.execute(
        "UPDATE pairings_sighting SET female_id = %s WHERE id = "
        "(SELECT MAX(id) FROM pairings_sighting WHERE female_id = %s)",
        [other.pk, female.pk],
    )


def remove(writer, female):
    writer.execute(
        "DELETE FROM pairings_sighting WHERE id = "
        "(SELECT MAX(id) FROM pairings_sighting WHERE female_id = %s)",
        [female.pk],
    )


def counted(keys):
    rows = list(Sighting.objects.values_list("female", flat=True))
    return {key: rows.count(key) for key in keys}


class Pages:
    """The same counts, kept in both ways; of whom each page had to ask anew."""

    def __init__(self, females):
        self.keys = [one.pk for one in females]
        self.asked, self.wholes, self.looks = [], 0, 0

    def count(self, keys):
        self.asked.append(set(keys))
        return counted(keys)

    def first_of_all(self):
        self.wholes += 1
        return counted(self.keys[:1])

    def first(self):
        return kept_while_growing("first", self.first_of_all, {Sighting: self._first_seen})

    def are_right(self):
        with for_one_request(only_reads=True):
            each = kept_of_each("each", self.keys, self.count, {Sighting: self._seen})
            first = self.first()
        truth = counted(self.keys)
        return each == truth and first == {self.keys[0]: truth[self.keys[0]]}

    def _seen(self, written):
        return {key for (key,) in written.told(Sighting.objects.all(), "female_id")}

    def _first_seen(self, written):
        self.looks += 1
        return self.keys[0] in self._seen(written)


def test_the_first_row_after_a_start_renews_only_hers(females, writers):
    pages = Pages(females)
    assert pages.are_right()
    write(writers[0], females[2])
    assert pages.are_right()
    writers[0].commit()
    for _ in range(2):
        assert pages.are_right()
    assert pages.asked == [set(pages.keys), {females[2].pk}]
    assert pages.wholes == pages.looks == 1


def test_a_row_that_took_its_key_before_others_is_seen_when_it_is_there(females, writers):
    pages = Pages(females)
    write(writers[0], females[0])
    write(writers[1], females[1])
    writers[1].commit()
    assert pages.are_right()
    write(writers[1], females[2])
    writers[1].commit()
    assert pages.are_right()
    writers[0].commit()
    assert pages.are_right()
    assert pages.wholes == 2


def test_a_changed_row_renews_those_it_was_about_once_it_is_there(females, writers):
    pages = Pages(females)
    assert pages.are_right()
    change(writers[0], females[1], females[2])
    remove(writers[1], females[3])
    assert pages.are_right()
    writers[1].commit()
    assert pages.are_right()
    writers[0].commit()
    for _ in range(2):
        assert pages.are_right()
    assert pages.asked[1:] == [{females[3].pk}, {females[1].pk, females[2].pk}]
    assert pages.wholes == 1


def test_where_all_are_removed_at_once_everybody_is_reckoned_again(females, writers):
    pages = Pages(females)
    assert pages.are_right()
    writers[0].execute("TRUNCATE pairings_sighting CASCADE")
    writers[0].commit()
    assert pages.are_right()
    assert pages.asked[1:] == [set(pages.keys)]


def test_what_was_taken_back_renews_nobody(females, writers):
    pages = Pages(females)
    assert pages.are_right()
    write(writers[0], females[0])
    writers[0].rollback()
    assert pages.are_right()
    assert len(pages.asked) == pages.wholes == 1


def test_answers_kept_at_two_moments_each_ask_what_came_since_their_own(females, writers):
    pages, later = Pages(females), Pages(females)
    assert pages.are_right()
    write(writers[0], females[0])
    writers[0].commit()
    with for_one_request(only_reads=True):
        kept_of_each("later", later.keys, later.count, {Sighting: later._seen})
    write(writers[0], females[1])
    writers[0].commit()
    with for_one_request(only_reads=True):
        newer = kept_of_each("later", later.keys, later.count, {Sighting: later._seen})
        older = kept_of_each("each", pages.keys, pages.count, {Sighting: pages._seen})
    assert newer == older == counted(pages.keys)


def test_within_a_transaction_what_others_end_meanwhile_counts(females, writers):
    """The later asked for, the lower its key."""
    pages = Pages(females)
    assert pages.are_right()
    for writer, female in zip(writers, females, strict=False):
        write(writer, female)
    with for_one_request(only_reads=True), transaction.atomic():
        for writer in reversed(writers):
            writer.commit()
            found = kept_of_each("each", pages.keys, pages.count, {Sighting: pages._seen})
            assert found == counted(pages.keys)


def test_what_an_act_saw_half_way_is_looked_at_again_when_it_has_ended(females):
    """Its mark is the one it had then."""
    pages = Pages(females)
    assert pages.are_right()
    with for_one_request(), transaction.atomic():
        see(females[1], 2)
        assert pages.first() == {pages.keys[0]: 1}
        see(females[0], 1)
    assert pages.are_right()


@pytest.mark.parametrize("seed", range(3))
def test_whoever_writes_at_once_and_ends_in_any_order(females, writers, seed, monkeypatch):
    monkeypatch.setattr(triggers, "MOST_ROWS", 1)
    draw = random.Random(seed)
    pages = Pages(females)
    for _ in range(STEPS):
        at = draw.randrange(WRITERS)
        writer, step = writers[at], draw.random()
        if step < 0.3:
            write(writer, draw.choice(females))
        elif step < 0.4:
            change(writer, females[at], draw.choice(females))  # nobody waits for another's row
        elif step < 0.5:
            remove(writer, females[WRITERS + at])
        elif step < 0.7:
            writer.commit()
        elif step < 0.8:
            writer.rollback()
        elif step < 0.81:
            triggers.put_together()
        else:
            assert pages.are_right()
    reckoned = sum(map(len, pages.asked))
    assert reckoned < len(pages.asked) * FEMALES  # often only some
