"""The same animal on its page, its sheet and its proof of origin: one sentence from one call."""

import html
import re
from fractions import Fraction

import pytest
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.origin.proof import proof_of
from breeding.sheets.contents.draft import draft_sheet
from tests import cast

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]
HALF = Fraction(1, 2)
ON = cast.day("2026-11-25")


def text(answer):
    """What a page says, its marks left out."""
    page = re.sub(r"<[^>]+>", "", answer.content.decode())
    return " ".join(html.unescape(page).split())


class Said:
    """What page, sheet and proof say of one animal."""

    def __init__(self, client, animal):
        self.page = text(client.get(animal.get_absolute_url()))
        facts = draft_sheet(animal, program=cast.the_program(), by=None, on=ON).facts
        self.sheet = dict(facts.rows)
        self.proof = dict(proof_of(animal, asof=ON).by_descent)
        self.origin = text(client.get(reverse("origin:detail", args=[animal.pk])))

    def row(self, heading):
        """The sentence under this heading; the same on sheet and proof, and shown on its page."""
        assert self.sheet.get(heading, "") == self.proof.get(heading, "")
        assert self.sheet.get(heading, "") in self.origin
        return self.sheet.get(heading, "")

    def everywhere(self, heading, sentence):
        """It stands in this row of sheet and proof, and on the page as a sentence of its own."""
        assert sentence in self.row(heading)
        assert sentence in self.page or sentence[:1].upper() + sentence[1:] in self.page

    def nowhere(self, *words):
        for place in (self.page, self.origin, " ".join(self.sheet.values())):
            assert not [one for one in words if one in place]


@pytest.fixture
def said(as_keeper):
    return lambda animal: Said(as_keeper, animal)


# ------------------------------------------------------------------------------------------------ F


def test_three_sixteenths_print_alike(said):
    """Half siblings whose common sire is inbred by 1/2: 1/8 x 3/2."""
    a, b = cast.male("A"), cast.female("B")
    for n in range(3):  # full siblings over three generations: F 1/4, 3/8, 1/2 (Wright 1921)
        a, b = cast.male(f"A{n}", sire=a, dam=b), cast.female(f"B{n}", sire=a, dam=b)
    inbred = cast.male("Rigel", sire=a, dam=b)
    sire, dam = cast.male("Deneb", sire=inbred), cast.female("Mira", sire=inbred)
    found = said(cast.ray("Lyra", sire=sire, dam=dam))
    found.everywhere("Inbreeding", "at least 18.75 % (3/16), closer than half siblings, from ")
    found.nowhere("18.8 %", "about 18", "19 %")


def test_nine_sixty_fourths_print_alike(said):
    """Half siblings whose common sire is inbred by 1/8: 1/8 x 9/8 (own arithmetic)."""
    grandsire = cast.male("Castor")
    rigel = cast.male(
        "Rigel", sire=cast.male("P", sire=grandsire), dam=cast.female("Q", sire=grandsire)
    )
    sire, dam = cast.male("Deneb", sire=rigel), cast.female("Mira", sire=rigel)
    found = said(cast.ray("Lyra", sire=sire, dam=dam))
    found.everywhere("Inbreeding", "at least 14.06 % (9/64), closer than half siblings, from ")
    found.everywhere(
        "Inbreeding", "Rigel is the sire of both parents, itself inbred (F 12.5 %) (14.06 %)"
    )
    found.nowhere("14.1 %", "14.062", "14.0625")


def test_f_cannot_be_told_of_one_whose_sire_is_unknown(said):
    found = said(cast.ray("Lyra", dam=cast.female("Vega")))
    found.everywhere(
        "Inbreeding",
        "cannot be told while the sire is unknown: at least 0 %, from 1 of 14 possible ancestors "
        "in three generations",
    )


def test_a_sire_who_may_be_one_of_two_gives_the_range_before_the_mean(said):
    altair, rigel = cast.male("Altair"), cast.male("Rigel")
    mira = cast.female("Mira", sire=altair)
    shares = ((altair, Fraction(3, 4)), (rigel, Fraction(1, 4)))
    found = said(cast.ray("Izar", dam=mira, possible_sires=shares))
    found.everywhere(
        "Inbreeding",
        "from 0 % to 25 %: 25 %, as close as full siblings, or parent and young, if the sire is "
        "Altair and 0 % if he is Rigel; 18.75 % (3/16) expected by the shares of the possible "
        "sires as far as is known, from 3 of 14 possible ancestors in three generations",
    )
    found.nowhere("at least 18.75", "at least 0")


def test_a_dam_by_either_of_two_males_and_a_sire_by_one_of_them_may_be_kin(said):
    altair, rigel = cast.male("Altair"), cast.male("Rigel")
    mira = cast.female("Mira", possible_sires=((altair, HALF), (rigel, HALF)))
    found = said(cast.ray("Lyra", sire=cast.male("Deneb", sire=altair), dam=mira))
    found.everywhere("Inbreeding", "Altair may be the sire of both parents (6.25 % expected)")
    found.everywhere(
        "Inbreeding",
        "from 0 % to 12.5 %: 12.5 %, as close as half siblings, if the sire of Mira is Altair and "
        "0 % if he is Rigel; 6.25 % (1/16) expected",
    )
    found.nowhere("is the sire of both parents", "at least 6.25")


# --------------------------------------------------------------------------- how much is known


def test_a_sire_believed_in_by_a_twenty_fifth_is_less_than_one_ancestor(said):
    found = said(cast.ray("Lyra", possible_sires=((cast.male("Altair"), Fraction(1, 25)),)))
    found.everywhere(
        "Ancestry",
        "less than 1 of 14 possible ancestors in three generations is known, uncertain sires "
        "counted by their share",
    )
    found.nowhere("0.0 of", "0 of 14")


def test_an_ancestry_short_of_a_hundredth_is_not_full(said):
    """Thirteen places, and one of which 99 hundredths are some named male's."""
    eight = [cast.male(f"M{n}") if n % 2 else cast.female(f"F{n}") for n in range(8)]
    p, r = (cast.male(n, sire=eight[i + 1], dam=eight[i]) for n, i in (("P", 0), ("R", 4)))
    q = cast.female("Q", sire=eight[3], dam=eight[2])
    s = cast.female("S", dam=eight[6], possible_sires=((eight[7], Fraction(99, 100)),))
    dam, sire = cast.female("Y", sire=r, dam=s), cast.male("X", sire=p, dam=q)
    found = said(cast.ray("Lyra", sire=sire, dam=dam))
    found.everywhere(
        "Ancestry",
        "more than 13 of 14 possible ancestors in three generations are known, uncertain sires "
        "counted by their share; not known: the sire of S",
    )
    found.nowhere("14.0 of", "14 of 14")


# --------------------------------------------------------------------------------- captivity


def test_possible_sires_of_the_first_or_second_generation_make_one_of_the_second(said):
    def wild(name, sex):
        return cast.ray(name, sex, origin="wild")

    vega = cast.female("Vega", sire=wild("W1", "M"), dam=wild("W2", "F"))
    deneb = cast.male("Deneb", sire=wild("W3", "M"), dam=wild("W4", "F"))
    rigel = cast.male("Rigel", sire=deneb, dam=cast.female("Mizar", sire=wild("W5", "M")))
    found = said(cast.ray("Lyra", dam=vega, possible_sires=((deneb, HALF), (rigel, HALF))))
    found.everywhere("Generation", "second generation in captivity")
    found.nowhere("cannot be told, because not every line", "generation in captivity unknown")


def test_an_unknown_generation_says_why(said):
    found = said(cast.ray("Lyra", dam=cast.female("Vega")))
    found.everywhere(
        "Generation",
        "generation in captivity unknown, because not every line is on record back to the wild",
    )


# ------------------------------------------------------------------------------------------ species


def pure(species, name, sex="M"):
    return cast.ray(name, sex, pure=species)


def test_a_sire_of_one_or_another_species_leaves_the_spread_unsaid(said):
    """Dam pure, sire pure of one or of another species: no part of it varies by chance alone."""
    shares = ((pure("motoro", "Rigel"), HALF), (pure("leopoldi", "Altair"), HALF))
    vega = pure("motoro", "Vega", "F")
    found = said(cast.ray("Lyra", dam=vega, possible_sires=shares))
    found.everywhere("Species", "3/4 P. motoro and 1/4 P. leopoldi expected")
    found.everywhere(
        "Spread", "how far single animals lie from this cannot be said while a sire is uncertain"
    )
    found.nowhere("about 95", "68 %", "a cross that has no short name")
    assert (
        "A hybrid, of which species is not known: a sire may be of one species or another"
        in found.page
    )


def test_a_first_backcross_has_the_same_spread_everywhere(said):
    """Two deviations of 0.0333 (Franklin 1977; 32 chromosomes of one Morgan) about 3/4."""
    first = cast.female("F1", sire=pure("motoro", "Rigel"), dam=pure("leopoldi", "Vega", "F"))
    found = said(cast.ray("Lyra", sire=pure("motoro", "Deneb"), dam=first))
    found.everywhere(
        "Spread",
        "single animals differ: of 100 animals bred like this about 95 have between 68 % and 82 % "
        "P. motoro",
    )
    found.everywhere("Spread", "nobody has published a map for these species")


def test_a_cross_of_three_species_has_a_spread_everywhere(said):
    """The third species is half for certain; of the two others each is 1/4 with the spread of one
    gamete of a first cross, two deviations of 0.0333 (as in a first backcross)."""
    first = cast.female("F1", sire=pure("motoro", "Rigel"), dam=pure("leopoldi", "Vega", "F"))
    found = said(cast.ray("Lyra", sire=pure("henlei", "Deneb"), dam=first))
    found.everywhere(
        "Spread",
        "about 95 or more have between 18 % and 32 % P. leopoldi and between 18 % and 32 % "
        "P. motoro, each of these taken by itself",
    )
    assert "A cross that has no short name such as F2 or backcross" in found.page


def test_a_founder_on_record_as_mixed_carries_its_caution_everywhere(said):
    mixed = cast.male("Rigel")
    for key in ("motoro", "leopoldi"):
        mixed.species_shares.create(species=cast.species(key), share=HALF)
    Animal.objects.get(pk=mixed.pk).save()
    found = said(cast.ray("Lyra", sire=mixed, dam=pure("motoro", "Vega", "F")))
    found.everywhere("Spread", "a founder on record as mixed is taken for a random mixture")
    found.nowhere("a cross that has no short name")
    assert "A hybrid, of which species is not known: a founder is on record as mixed" in found.page


def test_through_whom_an_unknown_part_came_is_said_everywhere(said):
    deneb = cast.male("Deneb", dam=pure("motoro", "Vega", "F"))
    found = said(cast.ray("Lyra", sire=deneb, dam=pure("motoro", "Mira", "F")))
    found.everywhere(
        "Species",
        "3/4 P. motoro expected; the last quarter came through an unknown male (the sire of Deneb)",
    )
    found.everywhere(
        "Spread",
        "how far single animals lie from this cannot be said while a part of their ancestry is "
        "unknown",
    )


def test_a_first_cross_is_settled_everywhere(said):
    found = said(cast.ray("Lyra", sire=pure("motoro", "Rigel"), dam=pure("leopoldi", "Vega", "F")))
    found.everywhere("Spread", "a first cross has exactly one half of each species")
    found.everywhere("Species", "1/2 P. leopoldi and 1/2 P. motoro, the first cross of two species")
