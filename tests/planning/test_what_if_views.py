"""Changes on paper; figures of the smallest families by own arithmetic."""

import pytest
from auditlog.models import LogEntry
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Animal
from tests import cast

ADDRESS = reverse("planning:what_if")


@pytest.fixture
def couple(as_keeper):
    born = cast.day("2015-05-01")
    return cast.female("Vega", born_on=born), cast.male("Altair", born_on=born)


def test_what_if_a_litter_is_born(as_keeper, couple):
    """Founders 1/2 and 1/2 with 0 between; each of two pups 1/2 with itself, 1/4 with the rest."""
    vega, altair = couple
    answer = as_keeper.get(ADDRESS, {"female": vega.pk, "male": altair.pk, "young": 2})
    found = answer.context["found"]
    assert found.before.gene_diversity == 0.75
    assert found.after.gene_diversity == 1 - (1 + 2 * 0.5 + 2 * 0.25 + 8 * 0.25) / 16
    assert found.inbreeding_of_young == {f"litter-{vega.pk}-{altair.pk}-2": 0.0}
    assert "Vega has 2 pups by Altair" in answer.content.decode()


def test_what_if_a_founder_without_young_dies(as_keeper, couple):
    vega, _ = couple
    answer = as_keeper.get(ADDRESS, {"animal": vega.pk, "kind": "death"})
    assert answer.context["found"].after.gene_diversity == 0.5
    assert "Nothing would be left of Vega." in answer.content.decode()


def test_what_if_one_on_loan_still_counts(as_keeper, couple):
    vega, _ = couple
    found = as_keeper.get(ADDRESS, {"animal": vega.pk, "kind": "loan"}).context["found"]
    assert found.after == found.before


def test_what_if_everybody_goes(as_keeper, couple):
    trials = [f"sale-{one.pk}" for one in couple]
    assert "No animal would be left." in as_keeper.get(ADDRESS, {"try": trials}).content.decode()


def test_what_if_leaves_no_trace(as_keeper, couple):
    vega, altair = couple
    rows, history = Animal.objects.count(), LogEntry.objects.count()
    as_keeper.get(ADDRESS, {"female": vega.pk, "male": altair.pk, "young": 2})
    assert (Animal.objects.count(), LogEntry.objects.count()) == (rows, history)


@pytest.mark.parametrize(
    "key",
    [
        "litter-1-2-0",
        "litter-x-y-z",
        "sale-" + "9" * 5000,
        "sale-999999",
        "murder-1",
        "-",
        "litter-1-1-3",
        "",
    ],
)
def test_what_cannot_be_tried_is_named(as_keeper, couple, key):
    answer = as_keeper.get(ADDRESS, {"try": key})
    assert answer.status_code == 200
    assert f"“{key}” cannot be tried" in answer.content.decode()


def refused(answer):
    return answer.context["wrong"], [one.words for one, _ in answer.context["trials"]]


def test_a_litter_by_one_sold_in_an_earlier_line_is_refused(as_keeper, couple):
    vega, altair = couple
    cast.male("Deneb")
    answer = as_keeper.get(
        ADDRESS,
        {"try": ["death-999999", f"sale-{altair.pk}", f"litter-{vega.pk}-{altair.pk}-1"]},
    )
    wrong, kept = refused(answer)
    assert wrong[1:] == [
        "“Vega has 1 pup by Altair” cannot be tried: in line 1 of the list Altair is sold."
    ]
    assert kept == ["Altair is sold"]  # line 1 on the page, for the first change names nobody
    assert "Line 1:</span> Altair is sold" in answer.content.decode()
    assert answer.context["found"].after.living == 2


def test_a_litter_before_the_sale_stands(as_keeper, couple):
    vega, altair = couple
    keys = [f"litter-{vega.pk}-{altair.pk}-1", f"sale-{altair.pk}"]
    answer = as_keeper.get(ADDRESS, {"try": keys})
    assert answer.context["wrong"] == []
    assert answer.context["found"].after.living == 2  # Vega and the pup


@pytest.mark.parametrize(
    ("first", "then", "because"),
    [
        ("sale", "sale", "“Vega is sold” cannot be tried: in line 1 of the list Vega is sold."),
        ("sale", "death", "“Vega dies” cannot be tried: in line 1 of the list Vega is sold."),
        ("death", "loan", "“Vega goes on loan” cannot be tried: in line 1 of the list Vega dies."),
        (
            "loan",
            "loan",
            "“Vega goes on loan” cannot be tried: in line 1 of the list Vega goes on loan.",
        ),
    ],
)
def test_one_that_is_gone_on_paper_cannot_go_again(as_keeper, couple, first, then, because):
    vega, _ = couple
    answer = as_keeper.get(ADDRESS, {"try": f"{first}-{vega.pk}", "animal": vega.pk, "kind": then})
    assert refused(answer)[0] == [because]


def test_one_on_loan_can_still_be_sold(as_keeper, couple):
    vega, _ = couple
    answer = as_keeper.get(ADDRESS, {"try": [f"loan-{vega.pk}", f"sale-{vega.pk}"]})
    assert refused(answer) == ([], ["Vega goes on loan", "Vega is sold"])


def test_what_the_records_say_is_gone_can_have_no_litter_on_paper(as_keeper, couple):
    vega, altair = couple
    died = cast.day("2026-03-03")
    cast.animals.change_state(vega, state="died", on=died)
    cast.animals.change_animal(altair, state="left", state_on=None)
    keys = [f"litter-{vega.pk}-{altair.pk}-3", f"sale-{altair.pk}"]
    assert refused(as_keeper.get(ADDRESS, {"try": keys}))[0] == [
        "“Vega has 3 pups by Altair” cannot be tried: by the records Vega died on 3 March 2026.",
        "“Altair is sold” cannot be tried: by the records Altair left.",
    ]


def test_one_on_loan_by_the_records_cannot_go_on_loan(as_keeper, couple):
    vega, altair = couple
    cast.animals.change_animal(vega, state="on_loan", state_on=None)
    keys = [f"loan-{vega.pk}", f"litter-{vega.pk}-{altair.pk}-3"]
    wrong, kept = refused(as_keeper.get(ADDRESS, {"try": keys}))
    assert wrong == ["“Vega goes on loan” cannot be tried: by the records Vega is on loan already."]
    assert kept == ["Vega has 3 pups by Altair"]


def test_the_forms_offer_nobody_that_is_gone_on_paper(as_keeper, couple):
    vega, altair = couple
    answer = as_keeper.get(ADDRESS, {"try": f"sale-{vega.pk}"})
    fields = answer.context["form"].fields
    assert not fields["female"].queryset
    assert list(fields["animal"].queryset) == [altair]


def test_where_there_are_many_one_writes_names(as_keeper, couple, monkeypatch):
    """No list of everybody is sent, and a name that is nobody's is said."""
    vega, altair = couple
    monkeypatch.setattr("breeding.animals.typed.choosing.MOST_LISTED", 0)
    assert "name or code" in as_keeper.get(ADDRESS).content.decode()
    asked = {"female": "Vega", "male": altair.code, "young": 2}
    answer = as_keeper.get(ADDRESS, asked)
    assert [one.key for one, _ in answer.context["trials"]] == [f"litter-{vega.pk}-{altair.pk}-2"]
    wrong = as_keeper.get(ADDRESS, asked | {"female": "Spica"}).context["wrong"]
    assert wrong == ["Nobody who can be chosen here is called “Spica”. Write a name or a code."]


def test_what_if_asks_no_more_for_more_lines(as_keeper, couple):
    vega, altair = couple
    as_keeper.get(ADDRESS, {"try": f"sale-{vega.pk}"})  # what is kept between requests is warm
    counts = []
    for lines in (1, 9):
        with CaptureQueriesContext(connection) as asked:
            as_keeper.get(ADDRESS, {"try": [f"litter-{vega.pk}-{altair.pk}-1"] * lines})
        counts.append(len(asked))
    assert counts[0] == counts[1] < 20
