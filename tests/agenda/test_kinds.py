"""The table of kinds: every row can be shown, and whoever yields lines is asked."""

import datetime
import importlib
import inspect
import pkgutil

import pytest
from django.urls import get_resolver

from breeding.agenda import lines, queries
from breeding.agenda.kinds.kind import GROUPS, HARM, LAST
from breeding.agenda.kinds.table import KINDS, TABLE, kind_of
from breeding.agenda.lines.line import Line, in_order, when_words, write_line
from breeding.agenda.sent.digest import digest_of
from breeding.animals.models import Animal
from breeding.gestation.actions import HEADINGS

DAY = datetime.date(2026, 3, 3)
EVERY = pytest.mark.parametrize("kind", TABLE, ids=lambda kind: kind.key)


def days(number):
    return DAY + datetime.timedelta(days=number)


def line(kind, on=DAY, *, today=DAY, who="Mira", **facts):
    return write_line(
        KINDS[kind],
        mark="7",
        on=on,
        today=today,
        who=who,
        why="Because.",
        animal=Animal(pk=7),
        facts={"female_id": 7, "from_males": "", **facts},
    )


def test_no_two_rows_have_one_key():
    assert len(KINDS) == len(TABLE)


def test_every_group_but_the_last_has_a_row_and_every_row_a_group():
    assert set(GROUPS) - {"other"} <= {kind.group for kind in TABLE} <= set(GROUPS)


def test_whatever_a_season_asks_for_has_a_row():
    assert {KINDS[key].group for key in HEADINGS} == {"separation", "birth"}


def test_a_key_that_a_later_release_has_stored_is_of_the_other_group():
    unknown = kind_of("a_kind_of_tomorrow")
    assert (unknown.group, unknown.alarms, unknown.category) == ("other", (), "a kind of tomorrow")


@EVERY
def test_every_row_leads_to_pages_that_are_there(kind):
    known = {
        f"{room}:{name}"
        for room, (_, resolver) in get_resolver().namespace_dict.items()
        for name in resolver.reverse_dict
        if isinstance(name, str)
    }
    assert {kind.page, *(button.route for button in kind.buttons)} <= known


def test_every_function_that_yields_lines_is_asked_by_the_day_or_the_calendar():
    modules = [
        importlib.import_module(found.name)
        for found in pkgutil.walk_packages(lines.__path__, f"{lines.__name__}.")
    ]
    yielding = {
        function
        for module in modules
        for name, function in inspect.getmembers(module, inspect.isgeneratorfunction)
        if not name.startswith("_")
    }
    assert len(yielding) >= 8
    assert yielding == {*queries.ON_THE_DAY, *queries.IN_THE_CALENDAR}


# ------------------------------------------------------------------------ what a row says of a line


def test_a_heading_names_the_facts_of_its_line():
    assert line("separate_now", from_males=" from Deneb").what == "separate from Deneb now"
    assert line("separate_now").what == "separate now"


def test_a_name_with_braces_is_written_as_it_is():
    assert line("separate_by", from_males=" from {0}").what == "separate from {0} at the latest"


def test_a_fact_that_the_row_names_and_the_line_lacks_is_an_error():
    with pytest.raises(KeyError, match="buyer"):
        line("reservation")


@pytest.mark.parametrize(
    ("kind", "before", "on_its_day", "after"),
    [
        ("separate_by", "soon", "now", "now"),
        ("nursery_by", "soon", "now", "now"),
        ("watch_from", "soon", "soon", "soon"),
        ("separate_bred", "soon", "soon", "soon"),
        ("overdue", "soon", "now", "now"),
        ("reservation", "soon", "soon", "now"),
        ("ready_to_leave", "later", "later", "later"),
        ("pups_on_the_floor", "now", "now", "now"),
    ],
)
def test_how_pressing_a_kind_is_on_the_day_before_its_day_on_it_and_after(
    kind, before, on_its_day, after
):
    found = [KINDS[kind].urgency_on(days(number), due_on=DAY) for number in (-1, 0, 1)]
    assert found == [before, on_its_day, after]


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("separate_by", ("by Tue 3 Mar", "now", "since Tue 3 Mar")),
        ("watch_from", ("daily from Tue 3 Mar", "daily since Tue 3 Mar", "daily since Tue 3 Mar")),
        ("planned", ("from Tue 3 Mar", "from now on", "since Tue 3 Mar")),
        ("ready_to_leave", ("when you decide",) * 3),
    ],
)
def test_what_stands_in_the_margin_on_the_day_before_its_day_on_it_and_after(kind, words):
    facts = {"male": "Deneb", "male_id": 8, "planned_id": 9, "litter_id": 3}
    found = [line(kind, today=days(number), **facts) for number in (-1, 0, 1)]
    told = [when_words(one, days(number)) for one, number in zip(found, (-1, 0, 1), strict=True)]
    assert tuple(told) == words


def test_only_a_line_for_today_of_a_kind_that_stands_for_today_moves_daily():
    assert line("separate_bred").moves_daily
    assert not line("separate_bred", days(2)).moves_daily
    assert not line("separate_by").moves_daily


def test_an_animal_in_harms_way_goes_before_an_older_line():
    kinds = ("nursery_by", "separate_by", "overdue", "separate_now")
    old_to_new = [line(kind, days(-9 + number)) for number, kind in enumerate(kinds)]
    assert [one.kind.key for one in in_order(old_to_new)] == list(reversed(kinds))


def test_every_kind_has_a_rank_and_every_rank_its_reason():
    assert {kind.rank for kind in TABLE} <= set(HARM)
    assert max(HARM) == LAST


def test_a_watch_for_pups_goes_before_a_buyer_who_waits_longer():
    """Ranked by harm: how pressing a line is by its day alone does not put it first."""
    facts = {"buyer": "Ida", "animal_id": 7, "reservation_id": 1, "contact_id": 2}
    some = [
        line("reservation", days(-9), **facts),
        line("watch_from"),
        line("separate_by", days(5)),
    ]
    assert [one.kind.key for one in in_order(some)] == ["watch_from", "separate_by", "reservation"]
    assert [one.urgency for one in in_order(some)] == ["soon", "soon", "now"]


def test_the_digest_repeats_every_morning_only_what_cannot_wait():
    def comes(found: Line) -> bool:
        told = digest_of([found], left_out=(), told_before={}, last_sent_on=None, today=DAY).told
        again = digest_of([found], left_out=(), told_before=told, last_sent_on=days(-1), today=DAY)
        return again.is_worth_sending

    assert comes(line("separate_now", days(-5)))
    assert not comes(line("separate_by", days(-5)))


def test_what_names_a_buyer_says_something_else_outdoors():
    found = line("reservation", buyer="Ida", animal_id=7, reservation_id=1, contact_id=2)
    assert (found.what, found.outdoors) == ("reserved for Ida", "reservation ends")
    named = {kind.key for kind in TABLE if "{buyer}" in kind.heading}
    assert named == {kind.key for kind in TABLE if kind.outdoors}
