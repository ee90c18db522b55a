"""Two contacts or two animals of one name are asked about, with the way to the one on record."""

import pytest

from breeding.animals.models import Animal
from breeding.animals.services import register_animal
from breeding.buyers.models import Contact
from breeding.buyers.services import add_contact, change_contact
from breeding.program.problems.doubts import DoubtError
from tests import cast


@pytest.fixture
def kim(owner):
    return add_contact(by=owner, name="Kim Lund")


def marks_on(page) -> str:
    return page.content.decode().partition('name="sure" value="')[2].partition('"')[0]


def test_a_second_contact_of_one_name_is_asked_about_once_with_a_link(kim, as_keeper):
    page = as_keeper.post("/buyers/new/", {"name": "kim  lund"})
    text = page.content.decode()
    assert "A contact called Kim Lund is on record already" in text
    assert f'href="{kim.get_absolute_url()}">Look at Kim Lund</a>' in text
    assert Contact.objects.count() == 1
    sent = {"name": "kim  lund", "sure": marks_on(page)}
    assert as_keeper.post("/buyers/new/", sent).status_code == 302
    assert Contact.objects.count() == 2


def test_so_is_one_that_is_written_down_as_an_animal_is_kept(kim, as_keeper):
    address = f"/buyers/reserve/{cast.female('Mira').pk}/"
    sent = {"new_name": "Kim Lund", "until": cast.ago(-9).isoformat()}
    page = as_keeper.post(address, sent)
    assert "A contact called Kim Lund is on record already" in page.content.decode()
    assert Contact.objects.count() == 1
    assert as_keeper.post(address, {**sent, "sure": marks_on(page)}).status_code == 302
    assert Contact.objects.count() == 2


def test_a_contact_that_takes_the_name_of_another_is_asked_about(kim, owner):
    ada = add_contact(by=owner, name="Ada Berg")
    with pytest.raises(DoubtError, match="called Kim Lund"):
        change_contact(ada, name="Kim Lund")
    assert change_contact(kim, name="KIM LUND", reach="by mail").name == "KIM LUND"


def test_a_second_animal_of_one_name_is_asked_about_once_with_a_link(as_keeper):
    mira = cast.female("Mira")
    sent = {"call_name": "mira", "sex": "F", "origin": "unknown", "state": "here"}
    page = as_keeper.post("/animals/new/", sent)
    text = page.content.decode()
    assert f"An animal called {mira.full_name} is on record already; is this another one?" in text
    assert f'href="{mira.get_absolute_url()}"' in text
    assert Animal.objects.count() == 1
    assert as_keeper.post("/animals/new/", {**sent, "sure": marks_on(page)}).status_code == 302
    assert Animal.objects.count() == 2


def test_an_animal_that_takes_the_name_of_another_is_asked_about(as_keeper):
    cast.female("Mira")
    vega = cast.female("Vega")
    sent = {"call_name": "Mira", "sex": "F", "origin": "unknown", "state": "here"}
    address = f"/animals/{vega.pk}/edit/"
    page = as_keeper.post(address, sent)
    assert "An animal called Mira" in page.content.decode()
    assert Animal.objects.get(pk=vega.pk).name == "Vega"
    assert as_keeper.post(address, {**sent, "sure": marks_on(page)}).status_code == 302
    assert Animal.objects.get(pk=vega.pk).name == "Mira"


def test_animals_without_a_name_are_no_namesakes(owner):
    for _ in range(2):
        register_animal(by=owner)
    assert Animal.objects.filter(call_name="").count() == 2
