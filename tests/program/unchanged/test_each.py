"""Answers about each of many are kept: a row that is added renews those whom it is about."""

import pytest
from django.db import connection, transaction

from breeding.housing.models import Look, Tank
from breeding.pairings.models import Sighting
from breeding.program.frame.memory import for_one_request, remember
from breeding.program.unchanged import changes, each, triggers
from breeding.program.unchanged.each import Part, forget_each, kept_of_each
from breeding.program.unchanged.growing import forget_kept, kept_while_growing
from breeding.program.unchanged.marks import NAME, TABLE, look_again, standing
from breeding.program.unchanged.values import VALUES, kept_while_unchanged
from tests import cast
from tests.cast import ago, see

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _nothing_kept_yet(transactional_db):
    look_again()
    forget_each()
    VALUES.empty()
    yield
    forget_each()
    VALUES.empty()
    look_again()


@pytest.fixture
def asked():
    """Of whom was asked, each time that something was reckoned."""
    return []


@pytest.fixture
def ask(asked):
    """How often each of some females was seen, within whatever request."""

    def about(written):
        return {key for (key,) in written.told(Sighting.objects.all(), "female_id")}

    def count(keys):
        asked.append(sorted(keys))
        rows = list(Sighting.objects.filter(withdrawn_at__isnull=True))
        return {key: sum(one.female_id == key for one in rows) for key in keys}

    def ask(*females, about=about):
        return kept_of_each("seen", [one.pk for one in females], count, {Sighting: about})

    return ask


@pytest.fixture
def seen(ask):
    """The same, as a page asks it."""

    def page(*females, **how):
        with for_one_request(only_reads=True):
            return ask(*females, **how)

    return page


@pytest.fixture
def seen_by_act(ask):
    """The same, as an act asks it."""

    def act(*females):
        with for_one_request(), transaction.atomic():
            return ask(*females)

    return act


def test_only_those_are_reckoned_again_whom_a_new_row_is_about(seen, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    see(mira, 3)
    assert seen(mira, vega) == {mira.pk: 1, vega.pk: 0}
    assert seen(mira, vega) == {mira.pk: 1, vega.pk: 0}
    see(mira, 1)
    assert seen(mira, vega) == {mira.pk: 2, vega.pk: 0}
    see(vega, 1)
    for _ in range(2):
        assert seen(mira, vega) == {mira.pk: 2, vega.pk: 1}
    assert asked == [sorted([mira.pk, vega.pk]), [mira.pk], [vega.pk]]


def test_a_row_about_somebody_who_is_not_asked_for_renews_nobody(seen, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    seen(mira)
    see(vega, 1)
    for _ in range(2):
        assert seen(mira) == {mira.pk: 0}
    assert asked == [[mira.pk]]


def test_who_was_not_asked_about_before_is_reckoned_beside_those_that_are_kept(seen, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    see(vega, 2)
    assert seen(mira) == {mira.pk: 0}
    assert seen(vega, mira) == {vega.pk: 1, mira.pk: 0}
    assert asked == [[mira.pk], [vega.pk]]


def test_a_row_that_was_changed_is_about_whom_it_was_about_and_is_now(seen, asked, owner):
    mira, vega, lyra = (cast.female(name) for name in ("Mira", "Vega", "Lyra"))
    see(mira, 3)
    see(lyra, 3)
    seen(mira, vega, lyra)
    Sighting.objects.filter(female=mira).update(female=vega)
    for _ in range(2):
        assert seen(mira, vega, lyra) == {mira.pk: 0, vega.pk: 1, lyra.pk: 1}
    assert asked[1:] == [sorted([mira.pk, vega.pk])]


def test_a_row_that_was_removed_is_about_whom_it_was_about(seen, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    see(mira, 3)
    see(vega, 3)
    seen(mira, vega)
    Sighting.objects.filter(female=vega).delete()
    for _ in range(2):
        assert seen(mira, vega) == {mira.pk: 1, vega.pk: 0}
    assert asked[1:] == [[vega.pk]]


def test_a_row_that_is_put_back_with_its_key_is_about_whom_it_is_about(seen, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    first = see(mira, 3)
    see(vega, 3)
    row = Sighting.objects.get(pk=first.pk)
    Sighting.objects.filter(pk=first.pk).delete()
    assert seen(mira, vega) == {mira.pk: 0, vega.pk: 1}
    row.save(force_insert=True)
    for _ in range(2):
        assert seen(mira, vega) == {mira.pk: 1, vega.pk: 1}
    assert len(asked) == 2
    assert mira.pk in asked[1]


def test_after_a_row_was_undone_the_next_renews_only_hers(seen, asked, owner):
    mira, vega, lyra = (cast.female(name) for name in ("Mira", "Vega", "Lyra"))
    first = see(mira, 3)
    seen(mira, vega, lyra)
    Sighting.objects.filter(pk=first.pk).update(withdrawn_at=first.seen_at)
    seen(mira, vega, lyra)
    see(vega, 1)
    assert seen(mira, vega, lyra) == {mira.pk: 0, vega.pk: 1, lyra.pk: 0}
    assert asked[1:] == [[mira.pk], [vega.pk]]


def test_what_was_changed_before_it_was_kept_renews_nobody(seen, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    see(mira, 3)
    Sighting.objects.update(female=vega)
    seen(mira, vega)
    see(vega, 1)
    assert seen(mira, vega) == {mira.pk: 0, vega.pk: 2}
    assert asked[1:] == [[vega.pk]]


def test_with_more_changed_rows_than_are_read_all_is_reckoned_again(
    seen, asked, owner, monkeypatch
):
    mira, vega, lyra = (cast.female(name) for name in ("Mira", "Vega", "Lyra"))
    for _ in range(3):
        see(mira, 3)
    seen(mira, vega, lyra)
    monkeypatch.setattr(changes, "MOST_READ", 2)
    Sighting.objects.update(female=vega)
    assert seen(mira, vega, lyra) == {mira.pk: 0, vega.pk: 3, lyra.pk: 0}
    assert asked[1:] == [sorted([mira.pk, vega.pk, lyra.pk])]


@pytest.mark.parametrize("how", ["emptied", "others", "of nobody", "of other columns"])
def test_where_the_notes_do_not_say_it_all_is_reckoned_again(seen, asked, owner, how):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    see(mira, 3)
    see(mira, 2)
    Sighting.objects.filter(female=mira).update(male=None)
    seen(mira, vega)
    Sighting.objects.filter(female=mira).update(female=vega)
    with connection.cursor() as cursor:
        if how == "emptied" or (how == "others" and connection.vendor != "sqlite"):
            cursor.execute(f"DELETE FROM {changes.TABLE}")
        elif how == "others":  # of a database that was put back: notes of the same number
            cursor.execute(f"UPDATE {changes.TABLE} SET mark = mark + 1")
        elif how == "of nobody":
            cursor.execute(f"UPDATE {changes.TABLE} SET told = NULL")
        else:
            cursor.execute(f"UPDATE {changes.TABLE} SET told = '{{}}'")
    assert seen(mira, vega) == {mira.pk: 0, vega.pk: 2}
    assert asked[1:] == [sorted([mira.pk, vega.pk])]


def test_old_notes_are_put_away_and_none_that_is_asked_for(seen, asked, owner, monkeypatch):
    mira, vega, lyra = (cast.female(name) for name in ("Mira", "Vega", "Lyra"))
    for name, most in (("MOST_READ", 2), ("MOST_KEPT", 4)):
        monkeypatch.setattr(changes, name, most)
    monkeypatch.setattr(triggers, "MOST_ROWS", 8)
    see(mira, 3)
    for _ in range(9):
        Sighting.objects.update(male=None)
    triggers.put_together()
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT COUNT(*) FROM {changes.TABLE} WHERE told IS NOT NULL")
        assert cursor.fetchone()[0] < 9
    seen(mira, vega, lyra)
    Sighting.objects.update(female=vega)
    assert seen(mira, vega, lyra) == {mira.pk: 0, vega.pk: 1, lyra.pk: 0}
    assert asked[1:] == [sorted([mira.pk, vega.pk])]


def test_what_else_an_answer_rests_on_renews_it_alone(asked, owner):
    mira, vega, lyra = (cast.female(name) for name in ("Mira", "Vega", "Lyra"))

    def page(beside):
        def make(keys):
            asked.append(sorted(keys))
            Look.objects.count()
            return {key: beside[key] for key in keys}

        with for_one_request(only_reads=True):
            return kept_of_each("beside", beside, make, {}, beside=beside)

    for one in (
        {mira.pk: [1], vega.pk: [2]},
        {mira.pk: [1], vega.pk: [2]},
        {mira.pk: [1], vega.pk: [3]},
        {mira.pk: [1], lyra.pk: [3]},
        {mira.pk: [1], vega.pk: [3]},
    ):
        assert page(one) == one
    assert asked == [[mira.pk, vega.pk], [vega.pk], [lyra.pk], [vega.pk]]


def test_a_row_may_be_about_everybody(seen, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    seen(mira, vega)
    see(mira, 1)
    assert seen(mira, vega, about=lambda last: None) == {mira.pk: 1, vega.pk: 0}
    assert asked == [sorted([mira.pk, vega.pk])] * 2


def test_what_is_written_to_tables_that_are_not_read_renews_nobody(seen, asked, owner):
    mira = cast.female("Mira")
    seen(mira)
    Look.objects.create(tank=Tank.objects.create(name="Pool", volume_litres=900), on=ago(1))
    seen(mira)
    assert asked == [[mira.pk]]


def test_an_act_keeps_nothing(seen_by_act, asked, owner):
    mira = cast.female("Mira")
    for _ in range(2):
        assert seen_by_act(mira) == {mira.pk: 0}
    assert asked == [[mira.pk]] * 2


def test_an_act_uses_what_is_kept_and_reckons_the_rest(seen, seen_by_act, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    see(mira, 3)
    seen(mira, vega)
    assert seen_by_act(mira) == {mira.pk: 1}
    assert seen_by_act(vega, mira) == {vega.pk: 0, mira.pk: 1}
    assert len(asked) == 1
    lyra = cast.female("Lyra")
    assert seen_by_act(lyra, mira) == {lyra.pk: 0, mira.pk: 1}
    see(vega, 1)
    assert seen_by_act(mira, vega) == {mira.pk: 1, vega.pk: 1}
    assert asked[1:] == [[lyra.pk], [vega.pk]]
    Sighting.objects.update(female=vega)
    assert seen_by_act(mira, vega) == {mira.pk: 0, vega.pk: 2}


@pytest.mark.parametrize("only_reads", [False, True])
def test_in_a_transaction_its_own_rows_count_until_they_are_taken_back(
    seen, ask, owner, only_reads
):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    seen(mira, vega)
    with for_one_request(only_reads=only_reads), transaction.atomic():
        see(mira, 3)
        assert ask(mira, vega) == {mira.pk: 1, vega.pk: 0}
        see(vega, 2)
        assert ask(mira, vega) == {mira.pk: 1, vega.pk: 1}
        transaction.set_rollback(True)
    assert seen(mira, vega) == {mira.pk: 0, vega.pk: 0}


def test_a_row_added_to_a_table_that_does_not_grow_daily_is_about_everybody(asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")

    def count(keys):
        asked.append(sorted(keys))
        return dict.fromkeys(keys, Tank.objects.count())

    def page():
        with for_one_request(only_reads=True):
            return kept_of_each("tanks", [mira.pk, vega.pk], count, {Tank: lambda last: {mira.pk}})

    assert page() == page() == {mira.pk: 0, vega.pk: 0}
    Tank.objects.create(name="Pool")
    assert page() == {mira.pk: 1, vega.pk: 1}
    assert len(asked) == 2


@pytest.mark.parametrize("lost", ["pairings_sighting", "pairings_sighting:changed"])
def test_of_a_table_that_lost_its_mark_nothing_is_kept(seen, asked, owner, lost):
    mira = cast.female("Mira")
    with connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {TABLE} WHERE name = %s", [lost])
    seen(mira)
    seen(mira)
    assert asked == [[mira.pk]] * 2


def test_what_is_read_in_a_way_nobody_can_tell_is_not_kept(asked, owner):
    def count(keys):
        asked.append(list(keys))
        with connection.cursor() as cursor:
            cursor.execute("SELECT COUNT(*) FROM housing_tank")
            return dict.fromkeys(keys, cursor.fetchone()[0])

    for _ in range(2):
        with for_one_request(only_reads=True):
            kept_of_each("tanks", [1], count, {})
    assert asked == [[1], [1]]


def test_answers_reckoned_at_different_times_rest_on_the_tables_of_each(owner):
    def count(keys):
        return {key: Tank.objects.count() if key == 1 else Look.objects.count() for key in keys}

    def page(*keys):
        with for_one_request(only_reads=True):
            return kept_of_each("either", keys, count, {})

    assert page(1) == {1: 0}
    assert page(1, 2) == {1: 0, 2: 0}
    Tank.objects.create(name="Pool")
    assert page(1, 2) == {1: 1, 2: 0}


def test_what_is_kept_on_top_of_it_rests_on_the_same_tables(ask, owner):
    mira = cast.female("Mira")

    def page():
        with for_one_request(only_reads=True):
            ask(mira)
            return kept_while_unchanged(
                "on top", lambda: ask(mira)[mira.pk] + 10 * Tank.objects.count()
            )

    assert page() == page() == 0
    see(mira, 1)
    assert page() == 1


def test_of_many_questions_what_was_asked_longest_ago_goes_first(owner, monkeypatch):
    monkeypatch.setattr(each, "MOST_TOGETHER", 3)
    mira, vega = cast.female("Mira"), cast.female("Vega")
    keys = [mira.pk, vega.pk]

    def page(question):
        with for_one_request(only_reads=True):
            kept_of_each(question, keys, lambda some: dict.fromkeys(some, Tank.objects.count()), {})
        return [key[-1] for key, _ in each._kept.every()]

    assert page("first") == ["first"]
    assert page("second") == ["second"]
    monkeypatch.setattr(each, "MOST_TOGETHER", 4)
    assert page("third") == ["second", "third"]
    assert page("second") == ["third", "second"]


def test_no_more_is_kept_than_was_asked_last_once_there_is_too_much(
    seen, asked, owner, monkeypatch
):
    monkeypatch.setattr(each, "MOST_OF_ONE", 1)
    mira, vega = cast.female("Mira"), cast.female("Vega")
    seen(mira)
    seen(vega)
    seen(mira)
    assert asked == [[mira.pk], [vega.pk], [mira.pk]]


@pytest.fixture
def written_meanwhile(owner):
    """A page that asks while somebody else renames the tank, whose row was answered just before."""
    tank = Tank.objects.create(name="Bay")

    def called(keys=(tank.pk,)):
        return dict(Tank.objects.filter(pk__in=list(keys)).values_list("pk", "name"))

    def page(ask):
        with for_one_request(only_reads=True):
            called()  # another page, at the same marks
        with for_one_request(only_reads=True):
            before = standing(connection)
            Tank.objects.update(name="Pool")
            remember(NAME, before)
            ask(tank, called)
        with for_one_request(only_reads=True):
            return ask(tank, called)

    return page


def test_parts_read_after_a_write_hide_it_from_no_answer(written_meanwhile):
    part = Part(
        lambda: dict(Tank.objects.values_list("name", "pk")),
        lambda was, now: {key for _, key in was.items() ^ now.items()},
    )
    found = written_meanwhile(
        lambda tank, called: kept_of_each("called", [tank.pk], called, {}, {Tank: part})
    )
    assert set(found.values()) == {"Pool"}


def test_nor_do_those_of_an_answer_to_all(written_meanwhile):
    def names():
        return frozenset(Tank.objects.values_list("name", flat=True))

    found = written_meanwhile(
        lambda tank, called: kept_while_growing("called", called, {}, {Tank: names})
    )
    assert set(found.values()) == {"Pool"}
    forget_kept()
