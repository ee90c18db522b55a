"""This program's key renewed, disowned, lost; fingerprints told; what a reader sees of it all."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from breeding import home
from breeding.animals.models import Animal
from breeding.exchange.ancestry import read_word
from breeding.exchange.giving import Chosen, given_ancestry
from breeding.exchange.keys import own
from breeding.exchange.keys.cut_short import settle_before_serving
from breeding.exchange.keys.heard import hear, know_key
from breeding.exchange.keys.reading import known_lines, said_of_word
from breeding.exchange.models import HeldKeyWord, KnownKey
from breeding.exchange.taking import planned, take
from breeding.program import clock
from breeding.program.acts.undoing import undo
from breeding.program.models import Act
from breeding.program.serving.refusals import Asked
from breeding.sheets.sealing.key_words import disowned, lost, public_of, write_key_file
from breeding.sheets.sealing.seal import fingerprint
from breeding.sheets.services import issue_sheet
from breeding.sheets.shared.links import link_of
from breeding.sheets.standing import own_public_key
from tests import cast
from tests.exchange.given import KEY, NEXT, PUBLIC, given_file, given_succession, theirs

pytestmark = pytest.mark.django_db
DAY = datetime.date(2026, 5, 1)


@pytest.fixture(autouse=True)
def _own_home(settings, tmp_path):
    settings.HOME = tmp_path


@pytest.fixture
def renewed(django_capture_on_commit_callbacks):
    """Another key signs; the old and the new one."""

    def renew(**more):
        old = public_of(own.own_key())
        with django_capture_on_commit_callbacks(execute=True):
            own.renew_key(by=None, on=clock.today(), **more)
        return old, own_public_key()

    return renew


def known(told=PUBLIC, **more) -> KnownKey:
    facts = {"called": "Kettle House", "how": "telephone", "on": DAY, "today": clock.today()}
    return know_key(told=fingerprint(told), by=None, **{**facts, **more})


def file(content):
    return SimpleUploadedFile("a.json", content, "application/json")


def test_a_renewed_key_signs_and_animals_stay_the_same(renewed):
    vega = cast.female("Vega")
    before = read_word(given_ancestry([vega], Chosen(), on=clock.today()))
    old, new = renewed()
    assert old != new
    assert not (own.Path(own.settings.HOME) / home.NEXT_KEY_FILE).exists()
    after = read_word(given_ancestry([vega], Chosen(), on=clock.today()))
    assert (after.key, after.about) == (new, before.about)
    assert [(word.key, word.by) for word in after.keys] == [(old, new)]
    for word in (before, after):
        assert planned(word, new).known == {before.about[0]: vega}
    assert said_of_word(before).state == "earlier own"
    assert said_of_word(after).state == "own"


def test_a_key_that_was_stolen_disowns_itself(renewed):
    old, _ = renewed(stolen_since=DAY)
    assert known_lines(own_public_key()).disowned_from(old) == "2026-05-01"


def issued_with_its_link(animal):
    """A sheet of today, and the page that a buyer opens."""
    sheet = issue_sheet(animal, by=None, on=clock.today())
    return sheet, reverse("sheets:shared", args=[link_of(sheet).token])


def test_a_buyer_with_the_link_reads_that_its_key_is_disowned_as_at_the_check(renewed, client):
    sheet, address = issued_with_its_link(cast.female("Vega"))
    assert "As issued: unaltered." in cast.words(client.get(address))
    renewed(stolen_since=clock.today())
    warning = "is not theirs. Do not rely on this file."
    page = cast.words(client.get(address))
    assert warning.replace("is not", "on is not") in page
    assert "<strong>Its key is disowned by its owner.</strong> Its owner says:" in page
    assert "As issued: unaltered." not in page
    assert "issue a correction" not in page  # which is for keepers
    with sheet.file.open("rb") as kept:
        sent = {"first": SimpleUploadedFile("a.pdf", kept.read(), "application/pdf")}
    assert warning in cast.words(client.post(reverse("exchange:check"), sent))


def test_a_key_that_was_only_renewed_still_vouches_for_its_sheets(renewed, client):
    _, address = issued_with_its_link(cast.female("Vega"))
    renewed()
    page = cast.words(client.get(address))
    assert "As issued: unaltered." in page
    assert "disowned" not in page


def test_the_key_page_names_the_sheets_to_be_issued_anew(renewed, as_owner):
    sheet, _ = issued_with_its_link(cast.female("Vega"))
    other, _ = issued_with_its_link(cast.female("Mira"))
    before = issue_sheet(cast.male("Orion"), by=None, on=DAY)
    renewed(stolen_since=clock.today())
    assert own.sheets_to_issue_anew() == [sheet, other]
    page = cast.words(as_owner.get(reverse("exchange:own_key")))
    assert "Sheets to be issued anew" in page
    assert sheet.number in page
    assert before.number not in page
    assert "issue a correction: the key of today signs it" in cast.words(
        as_owner.get(sheet.get_absolute_url())
    )
    issue_sheet(sheet.animal, by=None, on=clock.today(), corrects=sheet)
    assert own.sheets_to_issue_anew() == [other]


def test_an_earlier_key_is_disowned_later_and_no_other(renewed):
    old, new = renewed()
    for key in (new, PUBLIC):
        with pytest.raises(ValidationError, match="no earlier key of this program"):
            own.disown_key(key, by=None, on=clock.today(), since=DAY)
    own.disown_key(old, by=None, on=clock.today(), since=DAY)
    assert known_lines(new).is_disowned(old, "2026-05-02")
    tomorrow = clock.today() + datetime.timedelta(days=1)
    with pytest.raises(ValidationError, match="has not come yet"):
        own.disown_key(old, by=None, on=clock.today(), since=tomorrow)


def test_a_renewal_cut_short_is_finished_and_one_that_never_was_leaves_nothing():
    old = public_of(own.own_key())
    own.renew_key(by=None, on=clock.today())  # written, and its new key not yet in its place
    assert own_public_key() == old
    own.settle()
    assert own_public_key() == own.own_words()[0].by != old
    place = own.Path(own.settings.HOME)
    home.sheet_key(place, make=True, name=home.NEXT_KEY_FILE)
    settle_before_serving(Asked(place))
    assert not (place / home.NEXT_KEY_FILE).exists()
    assert own_public_key() == own.own_words()[0].by


def test_a_renewal_is_not_undone(as_owner, django_capture_on_commit_callbacks):
    own.own_key()
    address = reverse("exchange:own_key")
    page = cast.words(as_owner.post(address, {"what": "renew"}))
    assert "a key that was given up does not come back" in page
    assert HeldKeyWord.objects.count() == 0
    with django_capture_on_commit_callbacks(execute=True):
        page = as_owner.post(address, {"what": "renew", "is_sure": "on"}, follow=True)
    assert "Another key signs from now on." in cast.words(page)
    act = Act.objects.latest("at")
    assert not act.is_undoable
    assert reverse("program:undo", args=[act.pk]) not in page.content.decode()
    with pytest.raises(ValidationError, match="cannot be taken back"):
        undo(act, by=act.person, now=clock.now())
    content = as_owner.get(reverse("exchange:key_file")).content
    assert b'"says":"succeeds"' in content


def test_a_lost_key_is_said_to_be_lost(renewed, as_owner):
    sheet = issue_sheet(cast.female("Vega"), by=None, on=clock.today())
    place = own.Path(own.settings.HOME)
    (place / home.SHEET_KEY_FILE).unlink()
    with pytest.raises(ValidationError, match="is not there"):
        own.own_key()
    home.sheet_key(place, make=True)
    assert own.lost_keys() == [sheet.public_key]
    sent = {"what": "lost", "lost-key": sheet.public_key}
    page = cast.words(as_owner.post(reverse("exchange:own_key"), sent, follow=True))
    assert "Tell the new fingerprint to everybody yourself." in page
    assert own.lost_keys() == []
    assert known_lines(own_public_key()).is_one(sheet.public_key, own_public_key())


def test_a_partner_who_renewed_the_key_is_the_same_and_doubles_nobody():
    take(read_word(given_file()), given_file(), "", by=None)
    later = given_file(on="2026-10-01", key=NEXT, keys=(given_succession(),))
    word = read_word(later)
    known()
    assert said_of_word(word).state == "follows"
    plan = planned(word, "")
    assert plan.new == ()
    take(word, later, "", by=None)
    assert Animal.objects.count() == 3
    assert HeldKeyWord.objects.count() == 1  # kept with the file


def test_a_file_of_a_disowned_key_is_not_taken():
    hear([disowned(PUBLIC, KEY, DAY, since=DAY)], by=None)
    content = given_file(on="2026-05-01")
    with pytest.raises(ValidationError, match="Do not rely on this file"):
        take(read_word(content), content, "", by=None)
    earlier = given_file(on="2026-04-30")
    take(read_word(earlier), earlier, "", by=None)
    assert Animal.objects.count() == 3


def test_trust_is_given_by_the_fingerprint_and_taken_back(as_keeper):
    word = read_word(given_file())
    assert said_of_word(word).state == "unknown"
    sent = {
        "told": fingerprint(PUBLIC).upper().replace(" ", "-"),
        "called": "Kettle House",
        "how": "by telephone",
        "on": "2026-05-01",
    }
    page = as_keeper.post(reverse("exchange:know"), sent, follow=True)
    assert "The key of Kettle House is known from now on." in cast.words(page)
    assert said_of_word(word).state == "told"
    assert said_of_word(word, is_stranger=True).state == "unknown"
    one = KnownKey.objects.get()
    page = as_keeper.post(
        reverse("program:withdraw", args=["known-key", one.pk]), {"reason": "a stranger"}
    )
    assert page.status_code == 302
    assert said_of_word(word).state == "unknown"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"told": ""}, "is no fingerprint: it has 32 figures"),
        ({"instead_of": "6668"}, "“6668” is no fingerprint"),
        ({"on": datetime.date(2999, 1, 1)}, "has not come yet"),
        ({"instead_of": fingerprint(PUBLIC)}, "cannot take its own place"),
    ],
)
def test_what_was_told_wrongly_is_refused_in_words(more, said):
    facts = {"called": "X", "how": "telephone", "on": DAY, "today": clock.today(), "by": None}
    with pytest.raises(ValidationError, match=said):
        know_key(**{"told": fingerprint(PUBLIC), **facts, **more})


def test_a_new_key_after_a_loss_counts_once_its_fingerprint_was_told():
    take(read_word(given_file()), given_file(), "", by=None)
    later = given_file(on="2026-10-01", key=NEXT, keys=(lost(PUBLIC, NEXT, DAY),))
    word = read_word(later)
    assert "It cannot prove that" in said_of_word(word).words
    known(told=public_of(NEXT), instead_of=fingerprint(PUBLIC))
    said = said_of_word(word)
    assert said.state == "told"
    assert "cannot prove" not in said.words
    take(word, later, "", by=None)
    assert known_lines().is_one(PUBLIC, public_of(NEXT))
    assert Animal.objects.count() == 3


def test_a_file_of_keys_is_looked_over_and_kept_once(as_keeper):
    content = write_key_file([given_succession()])
    address = reverse("exchange:take")
    page = as_keeper.post(address, {"file": file(content)})
    assert "takes the place of the key" in cast.words(page)
    assert HeldKeyWord.objects.count() == 0
    sent = {"content": page.context["content"], "take": "1"}
    page = cast.words(as_keeper.post(address, sent, follow=True))
    assert "1 word about keys is new." in page
    assert "0 words about keys are new." in cast.words(as_keeper.post(address, sent, follow=True))
    assert HeldKeyWord.objects.count() == 1


def test_the_page_for_strangers_says_what_was_signed_of_a_key(client):
    cast.owner()
    hear([disowned(PUBLIC, KEY, DAY, since=DAY)], by=None)
    known()
    address = reverse("exchange:check")
    page = cast.words(client.post(address, {"first": file(given_file(on="2026-06-01"))}))
    assert "Its key is disowned by its owner" in page
    assert "Do not rely on this file." in page
    assert "telephone" not in page
    page = cast.words(client.post(address, {"first": file(write_key_file([given_succession()]))}))
    assert "What is said of keys" in page
    page = cast.words(client.post(address, {"first": file(b'{"form":"rayward keys"}')}))
    assert "says nothing of keys" in page


def test_two_files_across_a_renewed_key_are_kin(client):
    cast.owner()
    later = given_file(on="2026-10-01", key=NEXT, keys=(given_succession(),))
    sent = {"first": file(given_file()), "second": file(later)}
    page = cast.words(client.post(reverse("exchange:check"), sent))
    assert "Both files speak of 3 animals." in page
    assert theirs("K3")[-2:] in page
