"""What is asked once: the doubts themselves, their marks, and the figures they rest on."""

import pytest
from django import forms
from django.http import QueryDict
from django.template import Context, Template
from django.test import RequestFactory

from breeding.program import clock
from breeding.program.models import Person
from breeding.program.problems.beside import add_problems
from breeding.program.problems.doubts import (
    Doubt,
    DoubtError,
    ask,
    question,
    sure_in,
    thresholds,
)
from tests import cast

pytestmark = pytest.mark.one_database("doubts are asked before any query")
YOUNG = Doubt("Mira was 60 days old.", "dam")
MANY = Doubt("17 pups are many.")


@pytest.mark.parametrize("name", sorted(thresholds()))
def test_every_figure_says_how_well_it_is_known_and_what_it_rests_on(name):
    row = thresholds()[name]
    assert row["certainty"] in ("P", "K", "C", "A")
    assert len(row["source"]) > 10
    assert row["value"] > 0
    assert row["certainty"] != "A" or row["source"].startswith("assumption: ")


def test_an_unanswered_doubt_stops_the_act():
    with pytest.raises(DoubtError) as asked:
        ask([YOUNG, MANY], sure=frozenset())
    assert asked.value.messages == [YOUNG.sentence, MANY.sentence]


def test_an_answer_is_good_for_the_doubts_it_names_and_no_others():
    ask([YOUNG, MANY], sure={YOUNG.mark, MANY.mark})
    ask([], sure=frozenset())
    with pytest.raises(DoubtError):
        ask([YOUNG, MANY], sure={YOUNG.mark})
    with pytest.raises(DoubtError):
        ask([Doubt("Mira was 61 days old.", "dam")], sure={YOUNG.mark})


def test_the_box_answers_what_is_asked_and_keeps_what_was_answered():
    sent = QueryDict("sure=aaaa+bbbb")
    assert sure_in(sent) == {"aaaa", "bbbb"}
    assert sure_in({"sure": "aaaa"}) == {"aaaa"}
    assert sure_in({}) == frozenset()
    page = str(question(DoubtError([YOUNG]), sent).message)
    assert 'type="checkbox" name="sure"' in page
    assert "checked" not in page
    assert all(mark in page for mark in (YOUNG.mark, "aaaa", "bbbb"))


def as_owner_asks():
    """A request of somebody who is signed in, as far as the tag looks at it."""
    request = RequestFactory().get("/")
    request.user = Person(pk=1)
    return request


def test_the_box_stands_on_top_of_any_form_with_the_sentences_escaped():
    form = forms.Form({})
    add_problems(form, DoubtError([Doubt("<b> is 5 cm.")]))
    page = Template("{% once %}").render(Context({"form": form, "request": as_owner_asks()}))
    assert "&lt;b&gt; is 5 cm." in page
    assert page.count('<input type="checkbox" name="sure"') == 1


@pytest.mark.django_db
def test_a_question_is_drawn_in_its_form_once_and_not_in_the_receipt_above(as_keeper):
    lyra = cast.female("Lyra")
    address = f"/animals/{lyra.pk}/measure/"
    on = clock.today().isoformat()
    as_keeper.post(address, {"on": on, "disc_width_mm": "42"})  # its receipt stays
    page = as_keeper.post(address, {"on": on, "disc_width_mm": "42", "weight_g": "42"})
    told = page.content.decode()
    assert "Lyra is measured." in told
    assert told.count('name="sure"') == 1
    assert told.index('name="sure"') > told.index("</h1>")
