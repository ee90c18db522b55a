"""Ancestry given and taken by the pages: never doubled, contradictions shown, withdrawn whole."""

import base64
import datetime
from fractions import Fraction
from io import StringIO

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.urls import reverse

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.services import change_animal
from breeding.exchange.ancestry import Claim, merged, read_word
from breeding.exchange.files import read_given
from breeding.exchange.giving import Chosen, given_ancestry, own_key
from breeding.exchange.models import KnownAs, TakenAncestry
from breeding.exchange.taking import planned, take, withdraw_taken
from breeding.program import clock
from breeding.sheets.services import issue_sheet
from breeding.sheets.standing import standing_of
from tests import cast
from tests.exchange.given import PUBLIC, given_file, theirs

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _own_home(settings, tmp_path):
    settings.HOME = tmp_path


def own() -> str:
    return own_key().public_key().public_bytes_raw().hex()


def taken(content=None) -> TakenAncestry:
    content = content or given_file()
    return take(read_word(content), content, own(), by=None)


def family():
    """Vega out of Mira by Deneb, and her littermate Rigel."""
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    born = {"born_on": cast.day("2024-05-11"), "born_precision": "day"}
    return [cast.ray(name, sire=deneb, dam=mira, **born) for name in ("Vega", "Rigel")]


def test_what_is_given_says_the_kinship_that_the_records_say():
    vega, rigel = family()
    content = given_ancestry([vega, rigel], Chosen(), on=clock.today())
    word = read_word(content)
    assert word.key == own()
    assert len(word.claims) == 4
    found = merged([word]).kinship(*word.about)
    assert found == lineage.current().pedigree.kinship(vega.pk, rigel.pk) == 0.25
    assert b"Vega" not in content
    assert b"Vega" in given_ancestry([vega], Chosen(with_names=True), on=clock.today())


def test_no_generations_is_the_animal_alone():
    vega, _ = family()
    word = read_word(given_ancestry([vega], Chosen(generations=0), on=clock.today()))
    assert [claim.parents for claim in word.claims] == [()]


def test_a_file_is_taken_once_and_its_animals_are_known():
    kept = taken()
    pup = Animal.objects.get(code=f"K3-{PUBLIC[:4]}")
    assert (pup.sire.code, pup.dam.code) == (f"K1-{PUBLIC[:4]}", f"K2-{PUBLIC[:4]}")
    assert (pup.state, pup.origin, str(pup.born_on)) == ("left", "elsewhere", "2024-05-11")
    assert pup.sire.species_shares.get().share == Fraction(1)
    assert kept.names.count() == 3
    with pytest.raises(ValidationError, match="taken already"):
        taken()
    assert Animal.objects.count() == 3


def test_a_second_file_of_the_same_animals_doubles_nobody():
    taken()
    more = Claim(theirs("K4"), sires=((theirs("K1"), Fraction(1)),), dam=theirs("K2"))
    taken(given_file(more, on="2026-06-01"))
    assert sorted(Animal.objects.values_list("code", flat=True)) == [
        f"{code}-{PUBLIC[:4]}" for code in ("K1", "K2", "K3", "K4")
    ]
    sibs = Animal.objects.filter(code__in=[f"{one}-{PUBLIC[:4]}" for one in ("K3", "K4")])
    assert lineage.current().pedigree.kinship(*sibs.values_list("pk", flat=True)) == 0.25


def test_an_own_animal_coming_home_is_recognised():
    vega, rigel = family()
    content = given_ancestry([vega], Chosen(), on=clock.today())
    plan = planned(read_word(content), own())
    assert plan.new == ()
    assert plan.differences == ()
    assert set(plan.known.values()) >= {vega, vega.sire, vega.dam}
    taken(content)
    assert Animal.objects.count() == 4
    assert rigel.sire == vega.sire


def test_a_bought_animal_gets_the_parents_that_its_file_knows(as_keeper):
    bought = cast.female("Nunki")
    content = given_file()
    sent = {"content": base64.b64encode(content).decode(), "take": "1", "is_0": bought.pk}
    answer = as_keeper.post(reverse("exchange:take"), sent, follow=True)
    assert "The ancestry is taken: 2 animals are new." in cast.words(answer)
    bought.refresh_from_db()
    assert bought.sire.code == f"K1-{PUBLIC[:4]}"
    kept = TakenAncestry.objects.get()
    withdraw_taken(kept, by=cast_keeper(), now=clock.now(), reason="a forged file")
    bought.refresh_from_db()
    assert (bought.sire, bought.dam) == (None, None)
    assert list(Animal.objects.values_list("call_name", flat=True)) == ["Nunki"]


def cast_keeper():
    from breeding.program.models import Person

    return Person.objects.get(username="sam")


def test_what_differs_is_shown_and_the_records_stay(as_keeper):
    taken()
    pup = Animal.objects.get(code=f"K3-{PUBLIC[:4]}")
    other = cast.female("Mira")
    change_animal(pup, dam=other)
    later = given_file(born="2023", on="2026-07-01")
    plan = planned(read_word(later), own())
    told = [(one.fact, one.here, one.there) for one in plan.differences]
    assert told == [("born", "2024-05-11", "2023"), ("dam", "Mira", f"K2-{PUBLIC[:4]}")]
    page = cast.words(
        as_keeper.post(reverse("exchange:take"), {"content": base64.b64encode(later).decode()})
    )
    assert "It differs from what is on record here" in page
    taken(later)
    pup.refresh_from_db()
    assert pup.dam == other


def test_withdrawing_a_file_waits_for_what_rests_on_its_animals():
    kept = taken()
    pup = Animal.objects.get(code=f"K3-{PUBLIC[:4]}")
    young = cast.ray("Vega", dam=pup)
    keeper = cast.keeper()
    withdraw_taken(kept, by=keeper, now=clock.now(), reason="forged")
    young.refresh_from_db()
    assert young.dam is None
    assert not KnownAs.objects.filter(animal__withdrawn_at=None).exists()
    assert TakenAncestry.objects.count() == 0
    again = taken()
    assert again.names.count() == 3


def test_a_given_animal_keeps_the_name_it_was_given_first():
    taken()
    pup = Animal.objects.get(code=f"K3-{PUBLIC[:4]}")
    word = read_word(given_ancestry([pup], Chosen(), on=clock.today()))
    assert word.about == (theirs("K3"),)
    assert word.claim_of(theirs("K3")).sires == ((theirs("K1"), Fraction(1)),)


def test_the_pages_of_giving_show_and_save(as_keeper):
    vega, _ = family()
    address = reverse("exchange:give", args=[vega.pk])
    assert "It holds 3 animals" in cast.words(as_keeper.get(address))
    assert "It holds 1 animal" in cast.words(as_keeper.get(address, {"generations": "0"}))
    answer = as_keeper.get(address, {"generations": "5", "save": "1"})
    assert answer["Content-Disposition"] == f'attachment; filename="ancestry-{vega.pk}.json"'
    assert len(read_word(answer.content).claims) == 3
    page = cast.words(as_keeper.get(address, {"generations": "99", "save": "1"}))
    assert "99" in page


def upload(content, name="a.json"):
    return SimpleUploadedFile(name, content, "application/json")


def test_a_buyer_without_an_account_checks_a_file(client):
    cast.owner()
    address = reverse("exchange:check")
    first = client.get(address)
    assert "Check a file" in cast.words(first)
    assert first["Referrer-Policy"] == "same-origin"  # or a browser's form is refused
    page = cast.words(client.post(address, {"first": upload(given_file())}))
    assert "Unaltered" in page
    assert "It says that Kettle House issued it." in page
    assert "This key is not known here" in page
    page = cast.words(client.post(address, {"first": upload(given_file()[:-9])}))
    assert "Altered" in page


def test_a_file_that_was_never_signed_is_not_called_altered(client, tmp_path):
    cast.owner()
    for content in (b"a shopping list\n", b"{}", b'{"rays": [1, 2]}', b"\x00\xff" * 50):
        sent = {"first": upload(content, "list.txt")}
        page = cast.words(client.post(reverse("exchange:check"), sent))
        assert "Not a signed file: it proves nothing" in page
        assert "Altered" not in page
    (tmp_path / "list.json").write_bytes(b"{}")
    with pytest.raises(CommandError, match="is no signed sheet") as ended:
        call_command("verify", str(tmp_path / "list.json"))
    assert ended.value.returncode == 2


def test_the_same_animal_twice_is_said_and_no_inbreeding_of_its_young(client):
    cast.owner()
    sent = {"first": upload(given_file()), "second": upload(given_file())}
    page = cast.words(client.post(reverse("exchange:check"), sent))
    assert "Both files are about the same animal, K3. Choose the file of another one." in page
    assert "would have F" not in page
    assert "the true figure may be higher" not in page


def test_two_files_say_the_inbreeding_of_young(client):
    cast.owner()
    brother = Claim(theirs("K4"), sex="M", sires=((theirs("K1"), Fraction(1)),), dam=theirs("K2"))
    word = read_word(given_file(brother))
    from breeding.exchange.ancestry import Word, write_word
    from tests.exchange.given import KEY

    his = write_word(Word(PUBLIC, "Kettle House", "2026-05-02", (theirs("K4"),), word.claims), KEY)
    sent = {"first": upload(given_file()), "second": upload(his)}
    page = cast.words(client.post(reverse("exchange:check"), sent))
    assert "Young of K3 and K4 would have F 25 %." in page
    assert "Both files speak of 3 animals." in page


def test_the_command_says_kin_and_refuses_in_words(tmp_path):
    for name in ("a.json", "b.json"):
        (tmp_path / name).write_bytes(given_file())
    (tmp_path / "c.json").write_bytes(b"{}")
    out = StringIO()
    call_command("kin", str(tmp_path / "a.json"), str(tmp_path / "b.json"), stdout=out)
    assert "which calls itself Kettle House." in out.getvalue()
    with pytest.raises(CommandError, match="no ancestry"):
        call_command("kin", str(tmp_path / "a.json"), str(tmp_path / "c.json"))
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("kin", str(tmp_path / "a.json"), str(tmp_path / "d.json"))


def test_a_taken_file_of_a_thousand_animals_costs_no_query_each(django_assert_max_num_queries):
    claims = [Claim(theirs(f"M{n}"), sex="F", born="2020") for n in range(300)]
    word = read_word(given_file(*claims))
    with django_assert_max_num_queries(8):
        planned(word, own())


def test_the_day_of_a_taken_file_is_kept():
    assert taken().issued_on == datetime.date(2026, 5, 1)


def test_a_sheet_carries_the_ancestry_to_the_buyers_program(as_keeper):
    vega, _ = family()
    sheet = issue_sheet(vega, by=cast_keeper(), on=clock.today(), with_ancestry=True)
    with sheet.file.open("rb") as file:
        content = file.read()
    word = read_given(content)
    assert word.about == (f"{own()}:{vega.code}",)
    assert len(word.claims) == 3
    assert standing_of(sheet).is_unaltered
    page = cast.words(as_keeper.post(reverse("exchange:take"), {"file": upload(content, "a.pdf")}))
    assert "Every animal of it is on record" in page


def test_a_sheet_carries_nothing_that_the_keeper_does_not_want(as_keeper):
    vega, _ = family()
    sheet = issue_sheet(vega, by=cast_keeper(), on=clock.today())
    with sheet.file.open("rb") as file:
        content = file.read()
    with pytest.raises(ValueError, match="carries no ancestry"):
        read_given(content)
    with pytest.raises(ValueError, match="not as it was signed"):
        read_given(content.replace(b"/Type", b"/Typo", 1))
