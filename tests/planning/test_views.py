"""Pages of the planning room."""

from django.urls import reverse

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
    unknown = as_keeper.get(STATE, {"part": "nonsense"})
    assert len(unknown.context["state"].living) == 5
