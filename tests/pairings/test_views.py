"""Pages of the pairings' room: a pair is looked at before it is made, and nothing typed is lost."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from breeding.animals.services import change_state
from breeding.pairings.models import Outcome, Pairing, Scan, Sighting, SignKind
from breeding.pairings.services import record_scan
from breeding.pairings.views import season
from breeding.program import clock
from tests import cast
from tests.cast import ago, pair, words
from tests.pairings.acts import see

pytestmark = pytest.mark.django_db

NEW, LOG = reverse("pairings:new"), reverse("pairings:log")


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


def typed(female, male, **more):
    return {
        "female": female.pk,
        "male": male.pk,
        "introduced_on": clock.today().isoformat(),
        "separated_on": "",
        "note": "",
    } | more


# --------------------------------------------------------------------------------------- new


def test_new_shows_the_pair_first_and_saves_it_then(as_keeper, mira, deneb):
    page = words(as_keeper.post(NEW, typed(mira, deneb, look="1")))
    assert "Inbreeding F of their young: <strong>" in page
    assert "no common ancestor of the parents is on record" in page
    assert f'name="looked_at" value="{mira.pk}-{deneb.pk}"' in page
    assert not Pairing.objects.exists()
    looked = f"{mira.pk}-{deneb.pk}"
    answer = as_keeper.post(NEW, typed(mira, deneb, looked_at=looked, save="1"), follow=True)
    assert "Mira and Deneb are together." in words(answer)
    assert Pairing.objects.get().recorded_by.username == "sam"


def test_new_saves_no_pair_that_was_not_looked_at(as_keeper, mira, deneb):
    page = words(as_keeper.post(NEW, typed(mira, deneb, save="1")))
    assert "Their young" in page
    assert not Pairing.objects.exists()


def test_new_shows_another_pair_first_when_it_was_changed_after_looking(as_keeper, mira, deneb):
    vega = cast.female("Vega", dam=mira)
    rigel = cast.male("Rigel", dam=mira)
    looked = f"{mira.pk}-{deneb.pk}"
    page = words(as_keeper.post(NEW, typed(vega, rigel, looked_at=looked, save="1")))
    assert "as close as half siblings" in page
    assert f'value="{vega.pk}-{rigel.pk}"' in page
    assert not Pairing.objects.exists()


@pytest.mark.parametrize("looked", ["", "1", "x-y", "1-2-3", "\x00", "-"])
def test_new_takes_no_forged_look(as_keeper, mira, deneb, looked):
    answer = as_keeper.post(NEW, typed(mira, deneb, looked_at=looked, save="1"))
    assert answer.status_code == 200
    assert not Pairing.objects.exists()


def test_new_of_close_kin_asks_for_the_reason_and_keeps_it(as_keeper, mira):
    vega, rigel = cast.female("Vega", dam=mira), cast.male("Rigel", dam=mira)
    looked = f"{vega.pk}-{rigel.pk}"
    page = words(as_keeper.post(NEW, typed(vega, rigel, looked_at=looked, save="1")))
    assert "Too close to go on without a reason" in page
    assert "From 12.5 % on this program asks for a reason" in page
    answer = as_keeper.post(
        NEW,
        typed(vega, rigel, looked_at=looked, save="1", reason="To fix the pattern"),
        follow=True,
    )
    assert "Paired all the same: To fix the pattern" in words(answer)


def test_new_refuses_a_reason_that_is_too_long_and_keeps_every_letter_of_it(as_keeper, mira):
    vega, rigel = cast.female("Vega", dam=mira), cast.male("Rigel", dam=mira)
    sent = typed(vega, rigel, looked_at=f"{vega.pk}-{rigel.pk}", save="1", reason="ü" * 401)
    page = words(as_keeper.post(NEW, sent))
    assert "has 401 characters; allowed are at most 400 characters" in page
    assert "ü" * 401 in page
    assert 'name="reason" id="id_reason" rows="2">' in page  # a browser would cut what is pasted
    assert not Pairing.objects.exists()
    as_keeper.post(NEW, sent | {"reason": "ü" * 400})
    assert Pairing.objects.get().reason == "ü" * 400


def test_new_of_cousins_is_a_caution_only(as_keeper, mira, deneb):
    sister = cast.female("Izar", sire=deneb, dam=mira)
    brother = cast.male("Rigel", sire=deneb, dam=mira)
    vega, altair = cast.female("Vega", dam=sister), cast.male("Altair", sire=brother)
    page = words(as_keeper.post(NEW, typed(vega, altair, look="1")))
    assert "Caution." in page
    assert 'name="reason"' not in page
    looked = f"{vega.pk}-{altair.pk}"
    as_keeper.post(NEW, typed(vega, altair, looked_at=looked, save="1"))
    assert Pairing.objects.get().inbreeding_expected == 0.0625


def test_new_keeps_what_was_typed_when_something_is_wrong(as_keeper, mira, deneb):
    sent = typed(mira, deneb, introduced_on="2999-01-01", note="In the boathouse", save="1")
    page = words(as_keeper.post(NEW, sent | {"looked_at": f"{mira.pk}-{deneb.pk}"}))
    assert "1 January 2999 is still to come" in page
    assert "In the boathouse" in page
    assert 'value="2999-01-01"' in page


@pytest.mark.parametrize("field", ["introduced_on", "separated_on"])
@pytest.mark.parametrize(
    ("day", "said"), [("2999-01-01", "is still to come"), ("0001-01-01", "is too long ago")]
)
def test_new_says_of_an_impossible_day_at_the_first_look(as_keeper, mira, deneb, field, day, said):
    page = words(as_keeper.post(NEW, typed(mira, deneb, look="1") | {field: day}))
    assert said in page
    assert f'value="{day}"' in page


def test_new_is_filled_in_from_the_address(as_keeper, mira, deneb):
    page = words(as_keeper.get(f"{NEW}?female={mira.pk}&male={deneb.pk}"))
    assert f'<option value="{mira.pk}" selected>' in page
    assert f'<option value="{deneb.pk}" selected>' in page


def test_new_is_not_for_viewers(as_viewer, mira, deneb):
    assert as_viewer.get(NEW).status_code == 403
    assert as_viewer.post(NEW, typed(mira, deneb, save="1")).status_code == 403


# ------------------------------------------------------------------ index, detail and separate


def test_index_says_who_is_together_and_who_was(as_viewer, mira, deneb):
    pair(mira, cast.male("Altair"), 90, 60)
    pair(mira, deneb, 10)
    page = words(as_viewer.get(reverse("pairings:index")))
    now, before = page.split("Mira and Altair</a>")
    assert "Mira and Deneb</a>" in now
    assert "(10 days ago)" in now
    assert "30 days" in before
    assert "Put two together" not in page
    assert "Separate" not in page


def test_index_before_the_first_pairing_says_what_to_do(as_keeper):
    assert "Put a female and a male together" in words(as_keeper.get(reverse("pairings:index")))


@pytest.mark.parametrize(
    "name", ["pairings:index", "pairings:season", "pairings:log", "pairings:sightings"]
)
def test_lists_ask_the_same_questions_with_ten_more_pairs(as_keeper, mira, deneb, name):
    def grow(number):
        female = cast.female(f"Star {number}", pure="motoro")
        pair(female, deneb, 10)
        see(female)

    def questions():
        with CaptureQueriesContext(connection) as asked:
            assert as_keeper.get(reverse(name)).status_code == 200
        return len(asked)

    grow(100)
    questions()  # the first visit after a change reads the lineage once
    before = questions()
    for number in range(10):
        grow(number)
    questions()
    assert questions() <= before < 20


def test_detail_says_what_the_young_would_be_and_how_her_season_stands(as_viewer, mira, deneb):
    pairing = pair(mira, deneb, 10)
    page = words(as_viewer.get(pairing.get_absolute_url()))
    assert "together since" in page
    assert "10 days ago" in page
    assert "Inbreeding F of their young" in page
    assert "Her season" in page
    assert "Separate them" not in page


def test_detail_of_a_pairing_before_the_last_outcome_says_so(as_keeper, mira, deneb):
    pairing = pair(mira, deneb, 200, 190)
    Outcome.objects.create(female=mira, on=ago(60), kind="resorbed")
    page = words(as_keeper.get(pairing.get_absolute_url()))
    assert "this pairing belongs to an earlier season" in page


def test_separate_ends_the_company_and_keeps_how(as_keeper, mira, deneb):
    pairing = pair(mira, deneb, 10)
    page = words(as_keeper.get(reverse("pairings:separate", args=[pairing.pk])))
    assert "Move the male or close the divider rather than net her" in page
    answer = as_keeper.post(
        reverse("pairings:separate", args=[pairing.pk]),
        {"on": ago(1).isoformat(), "note": "Divider closed"},
        follow=True,
    )
    assert "Mira and Deneb are apart." in words(answer)
    pairing.refresh_from_db()
    assert (pairing.separated_on, pairing.separation_note) == (ago(1), "Divider closed")


@pytest.mark.parametrize(
    ("on", "said"),
    [
        ("", "is empty; needed is a day"),
        ("soon", "“soon” is not possible for"),
        ("2999-01-01", "is still to come"),
        ("2001-01-01", "is before they were introduced"),
    ],
)
def test_separate_names_what_is_wrong(as_keeper, mira, deneb, on, said):
    pairing = pair(mira, deneb, 10)
    answer = as_keeper.post(reverse("pairings:separate", args=[pairing.pk]), {"on": on})
    assert said in words(answer)
    pairing.refresh_from_db()
    assert pairing.is_open


# -------------------------------------------------------------------------------- withdraw


def test_withdraw_takes_a_pairing_out_and_leaves_it_readable(as_keeper, mira, deneb):
    pairing = pair(mira, deneb, 40)
    address = reverse("program:withdraw", args=["pairing", pairing.pk])
    assert "is empty; needed is text" in words(as_keeper.post(address, {"reason": " "}))
    page = words(as_keeper.post(address, {"reason": "It was Vega"}, follow=True))
    assert "is withdrawn and no longer counts" in page
    assert "nothing to follow" in page
    detail = words(as_keeper.get(pairing.get_absolute_url()))
    assert "by Sam: It was Vega. It no longer counts." in detail
    assert "Separate them" not in detail
    listed = words(as_keeper.get(reverse("pairings:index")))
    assert f'<a href="{pairing.get_absolute_url()}"' not in listed  # the receipt still names them
    assert "Withdrawn on" in words(as_keeper.post(address, {"reason": "Once more"}))
    pairing.refresh_from_db()
    assert pairing.withdrawn_reason == "It was Vega"


def test_sighting_withdrawn_stays_readable_with_its_reason(as_keeper, mira, deneb):
    pair(mira, deneb, 40, 39)
    seen = see(mira, days=39)
    female = reverse("pairings:female", args=[mira.pk])
    assert "mating seen on" in words(as_keeper.get(female))
    page = words(
        as_keeper.post(
            reverse("program:withdraw", args=["sighting", seen.pk]),
            {"reason": "It was Vega"},
            follow=True,
        )
    )
    assert "withdrawn: It was Vega" in page
    assert 'class="withdrawn">The sighting “Mating” of Mira' in page
    assert "mating seen on" not in page


def test_scan_withdraw_leaves_it_readable_with_its_reason(as_keeper, mira):
    scan = record_scan(female=mira, on=ago(1), positive=True, today=clock.today(), by=None)
    page = words(
        as_keeper.post(
            reverse("program:withdraw", args=["scan", scan.pk]), {"reason": "Vega"}, follow=True
        )
    )
    assert "withdrawn: Vega" in page
    assert "Withdrawn on" in words(
        as_keeper.get(reverse("program:withdraw", args=["scan", scan.pk]))
    )


def test_separate_of_nothing_is_not_found(as_keeper):
    assert as_keeper.get(reverse("pairings:separate", args=[999])).status_code == 404


# ------------------------------------------------------------------------------------- log


def kind(key):
    return SignKind.objects.get(key=key).pk


def test_log_takes_a_female_and_a_sign_and_nothing_else(as_keeper, mira):
    page = words(
        as_keeper.post(LOG, {"female": mira.pk, "kind": kind("parallel_swimming")}, follow=True)
    )
    assert "Written: Mira, swimming in parallel. Nothing follows from it until it is said" in page
    seen = Sighting.objects.get()
    assert (seen.female, seen.recorded_by.username, seen.male) == (mira, "sam", None)
    assert abs((clock.now() - seen.seen_at).total_seconds()) < 60


def test_log_keeps_severity_only_for_signs_that_ask_for_it(as_keeper, mira):
    for key in ("fresh_bite_marks", "following"):
        as_keeper.post(LOG, {"female": mira.pk, "kind": kind(key), "severity": "2"})
    assert {one.kind.key: one.severity for one in Sighting.objects.all()} == {
        "fresh_bite_marks": 2,
        "following": None,
    }


def test_log_keeps_a_photograph(as_keeper, mira):
    file = BytesIO()
    Image.new("RGB", (640, 480), "teal").save(file, "JPEG")
    picture = SimpleUploadedFile("marks.jpg", file.getvalue(), "image/jpeg")
    sent = {"female": mira.pk, "kind": kind("fresh_bite_marks"), "severity": "unsure"}
    as_keeper.post(LOG, sent | {"photograph": picture})
    page = words(as_keeper.get(reverse("pairings:female", args=[mira.pk])))
    photograph = Sighting.objects.get().photograph
    assert reverse("animals:picture", args=[photograph.pk]) in page


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"female": ""}, "Choose who it was."),
        ({"female": "999999"}, "is not possible for"),
        ({"female": "x"}, "is not possible for"),
        ({"kind": ""}, "Choose what you saw."),
        ({"severity": "7"}, "is not possible for"),
        ({"severity": ""}, "Say how bad the marks are, or that you are not sure."),
        ({"seen_at": "2999-01-01T10:00"}, "is still to come; choose an earlier time."),
        ({"seen_at": "yesterday"}, "allowed is a day and time, written like 2026-03-31 14:30."),
        ({"seen_at": "0001-01-01T12:00"}, "0001-01-01 is too long ago"),
        ({"male": "x"}, "is not possible for"),
        ({"note": "x" * 401}, "at most 400 characters"),
        ({"note": "a\x00b"}, "holds a character that cannot be read (a null)"),
        ({"photograph": SimpleUploadedFile("a.jpg", b"no picture", "image/jpeg")}, "picture"),
    ],
)
def test_log_names_what_is_wrong_and_keeps_the_rest(as_keeper, mira, deneb, wrong, said):
    sent = {"female": mira.pk, "kind": kind("fresh_bite_marks"), "note": "On the left"}
    sent |= {"severity": "2"} | wrong
    answer = as_keeper.post(LOG, sent)
    if said:
        assert answer.status_code == 200
        assert said in words(answer)
        assert not Sighting.objects.exists()
        if "note" not in wrong:
            assert "On the left" in words(answer)
    else:
        assert answer.status_code < 500


def test_log_of_something_else_needs_a_word(as_keeper, mira):
    sent = {"female": mira.pk, "kind": kind("other")}
    assert "Say in a few words what you saw." in words(as_keeper.post(LOG, sent))
    as_keeper.post(LOG, sent | {"note": "Digging"})
    assert Sighting.objects.get().note == "Digging"


def test_log_offers_those_with_a_male_first_pups_among_the_rest_and_none_that_left(
    as_keeper, mira, deneb
):
    cast.female("Adhara")
    cast.female("Little", born_on=ago(90), born_precision="day")
    change_state(cast.female("Gone"), state="left", on=ago(10))
    pair(mira, deneb, 5)
    page = words(as_keeper.get(LOG))
    assert page.index("<b>Mira</b> <span> with Deneb") < page.index("<b>Adhara</b> <span> female")
    assert page.index("<b>Adhara</b>") < page.index("<b>Deneb</b>") < page.index("<b>Little</b>")
    assert "<b>Gone</b>" not in page


def test_log_without_anybody_says_so(as_keeper):
    assert "There is no animal here to log for." in words(as_keeper.get(LOG))


@pytest.mark.parametrize("asked", ["", "x", "999999", "%00", "9" * 30])
def test_log_takes_any_female_in_the_address(as_keeper, mira, asked):
    assert as_keeper.get(f"{LOG}?female={asked}").status_code == 200


# ------------------------------------------------------------------------- season and female


def test_season_before_anything_is_seen_says_so(as_viewer):
    page = words(as_viewer.get(reverse("pairings:season")))
    assert "No female is with a male or expected to be pregnant." in page


def test_season_draws_every_female_to_follow(as_viewer, mira, deneb):
    vega = cast.female("Vega")
    for female in (mira, vega):
        pair(female, deneb, 30, 20)
        see(female, days=25)
    page = words(as_viewer.get(reverse("pairings:season")))
    assert "<svg" in page
    assert page.index("Mira</a>: ") < page.index("Vega</a>: ")
    assert ", due " in page


def test_female_shows_chance_window_reasons_and_what_follows(as_viewer, mira, deneb):
    pair(mira, deneb, 30, 20)
    see(mira, days=25, male=deneb)
    page = words(as_viewer.get(reverse("pairings:female", args=[mira.pk])))
    for said in ("Due window", "Because", "mating seen", "What follows", "An assumption", "<svg"):
        assert said in page
    assert "figures for P. motoro: 110 days from mating, give or take 10" in page


def test_female_reckons_on_a_day_gone_by(as_viewer, mira, deneb):
    pair(mira, deneb, 30, 20)
    see(mira, days=25)
    address = reverse("pairings:female", args=[mira.pk])
    past = words(as_viewer.get(f"{address}?asof={ago(28).isoformat()}"))
    assert ", as of" in past
    assert "mating seen" not in past.split("<h2>Seen</h2>")[0]
    before = words(as_viewer.get(f"{address}?asof={ago(40).isoformat()}"))
    assert "nothing to follow" in before


@pytest.mark.parametrize(
    ("asof", "said"),
    [
        ("2999-01-01", "2999-01-01 is still to come; choose today or a day before."),
        ("spring", "allowed is a day, written like 2026-03-31."),
        ("2026-02-30", "allowed is a day, written like 2026-03-31."),
        ("", "is empty; needed is a day, written like 2026-03-31."),
        ("0001-01-01", "0001-01-01 is too long ago; the earliest year is 1950."),
    ],
)
def test_female_reckons_today_when_the_day_asked_for_is_none(as_viewer, mira, deneb, asof, said):
    pair(mira, deneb, 30)
    page = words(as_viewer.get(reverse("pairings:female", args=[mira.pk]), {"asof": asof}))
    assert said in page
    assert "with a male" in page
    assert ", reckoned on" not in page


@pytest.mark.parametrize("asof", ["1950-01-01", "1999-12-31"])
def test_female_reckons_on_days_long_ago(as_viewer, mira, deneb, asof):
    pair(mira, deneb, 30)
    page = words(as_viewer.get(reverse("pairings:female", args=[mira.pk]), {"asof": asof}))
    assert "nothing to follow" in page


def test_female_of_a_male_or_of_nobody_is_not_found(as_viewer, deneb):
    assert as_viewer.get(reverse("pairings:female", args=[deneb.pk])).status_code == 404
    assert as_viewer.get(reverse("pairings:female", args=[999])).status_code == 404


# ------------------------------------------------------------------------- scan and outcome


def test_scan_is_written_down_and_counts(as_keeper, mira, deneb):
    pair(mira, deneb, 90, 80)
    address = reverse("pairings:scan", args=[mira.pk])
    sent = {"on": ago(1).isoformat(), "positive": "yes", "number_seen": "3", "done_by": "Jo"}
    page = words(as_keeper.post(address, sent, follow=True))
    assert "Written down for Mira." in page
    assert "pups seen: 3, by Jo" in page
    assert Scan.objects.get().positive
    wrong = words(as_keeper.post(address, sent | {"positive": "no"}))
    assert "3 pups were seen, so the scan is not empty." in wrong


def test_outcome_closes_the_season(as_keeper, mira, deneb):
    pair(mira, deneb, 90, 80)
    address = reverse("pairings:outcome", args=[mira.pk])
    assert "live birth" not in words(as_keeper.get(address))  # a birth comes with its litter
    page = words(
        as_keeper.post(address, {"kind": "resorbed", "on": ago(1).isoformat()}, follow=True)
    )
    assert "Nothing seen since" in page
    assert "(resorbed)" in page


def test_scan_and_outcome_are_for_females(as_keeper, deneb):
    for name in ("scan", "outcome"):
        assert as_keeper.get(reverse(f"pairings:{name}", args=[deneb.pk])).status_code == 404


def test_all_seasons_stand_on_one_sheet_to_print(as_viewer, deneb):
    for number in range(7):
        pair(cast.female(f"Ray {number}"), deneb, 30, 20)
    first = words(as_viewer.get(reverse("pairings:season")))
    assert "All of them, to print" in first
    assert "Ray 6</a>" not in first
    whole = words(as_viewer.get(reverse("pairings:season"), {"all": "1"}))
    assert "Ray 6</a>" in whole
    assert "to print" not in whole  # it is what one looks at


def test_more_seasons_than_go_on_one_page_are_printed_by_so_many(as_viewer, deneb, monkeypatch):
    monkeypatch.setattr(season, "SEASONS_TO_PRINT", 7)
    for number in range(8):
        pair(cast.female(f"Ray {number}"), deneb, 30, 20)
    first = words(as_viewer.get(reverse("pairings:season")))
    assert "7 at a time, to print" in first
    assert "All of them" not in first
    printed = words(as_viewer.get(reverse("pairings:season"), {"all": "1"}))
    assert "page 1 of 2" in printed
    assert "all=1&amp;page=2" in as_viewer.get(reverse("pairings:season"), {"all": "1"}).text
