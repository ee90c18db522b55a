"""Pages of the planning room."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.program import clock
from tests import cast

STATE = reverse("planning:state")


def test_state_of_nobody_says_what_to_do_first(as_keeper):
    answer = as_keeper.get(STATE)
    assert "Nobody is living in the program yet" in answer.content.decode()


def test_state_of_a_founder_pair_is_what_the_textbook_says(as_keeper):
    """Two unrelated founders: gene diversity 1 - 1/4, two founder equivalents (own arithmetic)."""
    cast.female("Mira", pure="motoro", born_on=cast.day("2020-05-01"))
    cast.male("Deneb", pure="motoro", born_on=cast.day("2020-05-01"))
    answer = as_keeper.get(STATE)
    state = answer.context["state"]
    assert state.gene_diversity == 0.75
    assert state.founder_equivalents == 2.0
    assert "<b>75 %</b>" in answer.content.decode()


def test_state_of_a_part_counts_only_that_part(as_keeper):
    for name in ("Mira", "Vega"):
        cast.female(name, pure="motoro")
    for name in ("Alya", "Maia", "Atria"):
        cast.female(name, pure="leopoldi")
    parts = as_keeper.get(STATE).context["parts"]
    labels = [one.label for one in parts]
    assert labels == ["the whole program", "pure P. leopoldi", "pure P. motoro"]
    answer = as_keeper.get(STATE, {"part": parts[1].key})
    assert len(answer.context["state"].living) == 3
    assert "There is no part" not in answer.content.decode()


def test_state_of_a_part_that_is_not_there_says_so_and_shows_all(as_keeper):
    for name in ("Mira", "Vega"):
        cast.female(name, pure="motoro")
    answer = as_keeper.get(STATE, {"part": "nonsense<b>"})
    words = " ".join(answer.content.decode().split())
    assert (
        "There is no part “nonsense&lt;b&gt;” here; a part has at least two living animals. "
        "The whole program is shown." in words
    )
    assert len(answer.context["state"].living) == 2


def full_sibs():
    born = cast.day("2020-05-01")
    altair = cast.male("Altair", pure="motoro", born_on=cast.day("2015-05-01"))
    vega = cast.female("Vega", pure="motoro", born_on=cast.day("2015-05-01"))
    mira = cast.female("Mira", sire=altair, dam=vega, born_on=born)
    deneb = cast.male("Deneb", sire=altair, dam=vega, born_on=born)
    return altair, vega, mira, deneb


def test_index_of_nobody_asks_for_animals_first(as_keeper):
    assert "Write down an animal" in as_keeper.get(reverse("planning:index")).content.decode()


def test_pair_says_first_that_not_and_then_why_a_line_each(as_keeper):
    _, _, mira, deneb = full_sibs()
    answer = as_keeper.get(reverse("planning:pair"), {"female": mira.pk, "male": deneb.pk})
    page = answer.content.decode()
    assert "<strong>Not Mira and Deneb now.</strong>" in page
    assert (
        '<ul class="against"><li>Their young would have F 25 %, as close as full siblings, '
        "or parent and young</li>" in page
    )


def test_pair_tells_what_a_litter_does_to_gene_diversity(as_keeper):
    """Four full sibs of two unrelated founders, by hand: the founders' kinship with themselves
    1/2, with each young 1/4; young with themselves 1/2, with each other 1/4: sum
    (1 + 4 + 2 + 3) / 36.
    """
    cast.female("Vega", born_on=cast.day("2015-05-01"))
    cast.male("Altair", born_on=cast.day("2015-05-01"))
    vega, altair = (one.pk for one in Animal.objects.order_by("-call_name"))
    answer = as_keeper.get(reverse("planning:pair"), {"female": vega, "male": altair})
    diversity = answer.context["report"].diversity
    assert (diversity.before, diversity.after) == (0.75, 1 - 10 / 36)


def test_pair_of_two_that_are_unfit_keeps_what_was_chosen_and_says_so(as_keeper):
    answer = as_keeper.get(reverse("planning:pair"), {"female": "999", "male": "x"})
    assert answer.status_code == 200
    assert answer.context["form"].errors.keys() == {"female", "male"}


def test_table_shows_the_expected_f_of_every_pair_and_leads_to_it(as_keeper):
    _altair, vega, mira, deneb = full_sibs()
    answer = as_keeper.get(reverse("planning:table"))
    cells = {
        (cell.female, cell.male): cell.inbreeding
        for row in answer.context["table"].rows
        for cell in row.cells
    }
    assert cells[mira.pk, deneb.pk] == 0.25
    assert cells[vega.pk, deneb.pk] == 0.25
    address = f"{reverse('planning:pair')}?female={mira.pk}&amp;male={deneb.pk}"
    assert f'<a href="{address}">25</a>' in answer.content.decode()


@pytest.mark.parametrize("sent", ["9" * 23, "-1", "abc", "\0"])
def test_table_says_of_what_is_no_animal_that_it_is_none(as_keeper, sent):
    full_sibs()
    answer = as_keeper.get(reverse("planning:table"), {"female": sent})
    assert answer.status_code == 200
    assert "is not an animal of the list; choose below." in answer.content.decode()


def test_table_offers_the_young_only_when_asked(as_keeper):
    full_sibs()
    cast.female("Pup", born_on=clock.today())
    names = [
        row.female.name for row in as_keeper.get(reverse("planning:table")).context["table"].rows
    ]
    assert "Pup" not in names
    more = as_keeper.get(reverse("planning:table"), {"young_too": "on"}).context["table"]
    assert "Pup" in [row.female.name for row in more.rows]


def test_pages_ask_no_more_with_ten_more_animals(as_keeper):
    _, _, mira, deneb = full_sibs()
    addresses = (
        reverse("planning:state"),
        reverse("planning:table"),
        f"{reverse('planning:pair')}?female={mira.pk}&male={deneb.pk}",
    )
    counts = []
    for _ in range(2):
        for address in addresses:
            as_keeper.get(address)  # what is kept between requests is warm
        with CaptureQueriesContext(connection) as asked:
            for address in addresses:
                as_keeper.get(address)
        counts.append(len(asked))
        for number in range(10):
            cast.female(f"Ray {counts[0]}-{number}", born_on=cast.day("2020-01-01"))
        as_keeper.get(reverse("animals:index"))
    assert counts[0] == counts[1]
    assert counts[0] < 110  # the state makes the season's plan, which a test does not keep


def test_an_f_to_think_over_is_said_beside_what_forbids_and_is_no_refusal(as_keeper):
    """Young of two that share one grandparent have F 1/16 (Wright 1922, Am Nat 56:330-338):
    from 6.25 % on the program asks to think, from 12.5 % on for a reason."""
    cast.the_program(inbreeding_caution=0.0625, inbreeding_needs_reason=0.125)
    born = cast.day("2015-05-01")
    shared = cast.male("Altair", pure="motoro", born_on=born)
    dams = [cast.female(name, pure="motoro", born_on=born) for name in ("Vega", "Lyra")]
    later = cast.day("2018-05-01")
    half = cast.male("Deneb", sire=shared, dam=dams[0], born_on=later)
    other = cast.female("Mira", sire=shared, dam=dams[1], born_on=later)
    far = cast.male("Rigel", sire=half, dam=cast.female("Izar"), born_on=cast.day("2020-05-01"))
    page = as_keeper.get(reverse("planning:pair"), {"female": other.pk, "male": far.pk})
    said = page.context["report"].verdict
    assert "because" not in said
    assert said.endswith("Their young would have F 6.25 %, as close as first cousins.")
