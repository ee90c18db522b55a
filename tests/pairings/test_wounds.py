"""Bite marks: the scale, the looks side by side, and harm on top of her page."""

from io import BytesIO

import pytest
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from breeding.animals.services import add_measurement
from breeding.pairings.care.severity import DEGREES
from breeding.pairings.care.thinning import weight_loss_of, weight_loss_words
from breeding.pairings.care.wounds import course_words, harm_of, wounds_of
from breeding.pairings.models import Outcome, SignKind
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import record_outcome
from breeding.program import clock
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast
from tests.cast import ago, pair, words
from tests.pairings.acts import see

pytestmark = pytest.mark.django_db


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


def picture():
    file = BytesIO()
    Image.new("RGB", (640, 480), "teal").save(file, "PNG")
    file.seek(0)
    return file


def now_of(female):
    return season_of(female, the_program(), asof=clock.today())


def page_of(client, female, name="female"):
    return words(client.get(reverse(f"pairings:{name}", args=[female.pk])))


def test_log_offers_five_degrees_with_a_drawing_and_words_each(as_keeper, mira):
    page = words(as_keeper.get(reverse("pairings:log")))
    assert [one.number for one in DEGREES] == [0, 1, 2, 3, 4]
    assert page.count('<svg class="wound"') == 5
    for degree in DEGREES:
        assert degree.words in page
    assert page.count("Separate now</strong>") == 2  # from 3 on, as the program is set


def test_log_says_separate_now_from_the_programs_own_limit_on(as_keeper, mira):
    cast.the_program(separate_at_severity=2)
    page = words(as_keeper.get(reverse("pairings:log")))
    assert page.count("Separate now</strong>") == 3


def test_log_of_bad_marks_leads_to_her_page_with_one_button(as_keeper, mira, deneb):
    pairing = pair(mira, deneb, 10)
    sent = {
        "female": mira.pk,
        "kind": SignKind.objects.get(key="fresh_bite_marks").pk,
        "severity": "3",
    }
    page = words(as_keeper.post(reverse("pairings:log"), sent, follow=True))
    top = page.split("</h1>")[1].split("Log a sighting")[0]
    assert "<h2>Separate now</h2>" in top
    assert top.count('class="act first big"') == 1
    assert reverse("pairings:separate", args=[pairing.pk]) in top
    assert "needs an aquatic veterinarian" in top


@pytest.mark.parametrize("severity", ["5", "-1", "x", "²"])
def test_log_refuses_a_degree_that_is_none(as_keeper, mira, severity):
    kind = SignKind.objects.get(key="fresh_bite_marks")
    sent = {"female": mira.pk, "kind": kind.pk, "severity": severity}
    answer = as_keeper.post(reverse("pairings:log"), sent)
    assert "is not possible for “Severity”" in words(answer)
    assert not mira.sightings.exists()


def test_off_food_in_company_stands_on_top_of_her_season_and_of_her_own_page(
    as_viewer, mira, deneb
):
    pair(mira, deneb, 10)
    see(mira, "off_food", days=1)
    for page in (page_of(as_viewer, mira), words(as_viewer.get(mira.get_absolute_url()))):
        assert "<h2>Separate now</h2>" in page
        assert 'class="act first big"' not in page  # a viewer writes nothing
    assert harm_of(now_of(mira)).is_with_male


def test_slight_marks_ask_for_nothing(mira, deneb):
    pair(mira, deneb, 10)
    see(mira, "fresh_bite_marks", severity=2)
    assert harm_of(now_of(mira)) is None


def test_harm_seen_apart_from_males_is_looked_after_for_three_days(as_keeper, mira, deneb):
    pair(mira, deneb, 10, 6)
    see(mira, "healing_marks", days=3, severity=4)
    assert "<h2>Look after her</h2>" in page_of(as_keeper, mira)
    assert harm_of(season_of(mira, the_program(), asof=ago(-1))) is None


def test_looking_again_at_earlier_marks_says_nothing_of_a_mating(mira, deneb):
    pair(mira, deneb, 10, 2)
    before = now_of(mira).estimate.chance
    see(mira, "healing_marks", severity=1)
    assert now_of(mira).testimony.signs == ()
    assert now_of(mira).estimate.chance <= before
    see(mira, "fresh_bite_marks", days=4, severity=1)
    assert now_of(mira).estimate.chance > before


def test_wounds_stand_side_by_side_oldest_first_with_photographs(as_viewer, mira, deneb):
    see(mira, "fresh_bite_marks", days=9, severity=3, photograph=picture(), note="left edge")
    see(mira, "healing_marks", days=2, severity=1, photograph=picture())
    see(mira, "healing_marks", days=5, severity=2)
    see(mira, "following", days=1)
    assert [one.degree.number for one in wounds_of(mira)] == [3, 2, 1]
    page = page_of(as_viewer, mira, "wounds")
    shown = page.split('<ol class="wounds">')[1].split("</ol>")[0]
    assert shown.count("<img ") == 2
    assert "drawing of degree 2" in shown
    assert shown.index("left edge") < shown.index("Severity 1, light")
    assert "(9 days ago)" in shown
    assert "better since: 1, light" in page
    assert "Following" not in shown


def test_a_withdrawn_photograph_stands_beside_no_look(as_viewer, owner, mira):
    seen = see(mira, "fresh_bite_marks", days=9, severity=3, photograph=picture())
    withdraw(seen.photograph, by=owner, now=timezone.now(), reason="of another animal")
    assert 'class="nopicture"' in page_of(as_viewer, mira, "wounds")
    of_her = page_of(as_viewer, mira, "female")
    assert reverse("animals:picture", args=[seen.photograph_id]) not in of_her
    assert reverse("animals:thumbnail", args=[seen.photograph_id]) not in of_her


def test_wounds_page_before_the_first_look_says_what_to_do(as_keeper, mira):
    assert "No bite marks are on record" in page_of(as_keeper, mira, "wounds")
    assert as_keeper.get(reverse("pairings:wounds", args=[999])).status_code == 404


def test_wounds_that_got_worse_are_said_to_be_worst_now(mira):
    see(mira, "fresh_bite_marks", days=9, severity=1)
    assert course_words(wounds_of(mira)) == ""
    see(mira, "healing_marks", days=2, severity=3)
    assert course_words(wounds_of(mira)).startswith("Worst at the last look: 3, open on")


def test_her_page_shows_the_last_four_looks_as_thumbnails(as_viewer, mira):
    for days in (9, 8, 7, 6, 5):
        see(mira, "healing_marks", days=days, severity=1, photograph=picture())
    page = page_of(as_viewer, mira)
    assert page.count("/small/") == 4
    assert reverse("pairings:wounds", args=[mira.pk]) in page


def test_a_withdrawn_look_is_shown_no_more_among_the_wounds(as_keeper, mira):
    seen = see(mira, "healing_marks", severity=4, photograph=picture())
    as_keeper.post(
        reverse("program:withdraw", args=["sighting", seen.pk]), {"reason": "It was Vega"}
    )
    assert wounds_of(mira) == []
    assert harm_of(now_of(mira)) is None


# ------------------------------------------------------------------------------ weight and girth


def weigh(female, days, grams):
    add_measurement(female, by=None, on=ago(days), weight_g=grams)


def test_weight_lost_with_a_male_is_said_with_figures_and_a_suggestion(as_viewer, mira, deneb):
    pair(mira, deneb, 30)
    weigh(mira, 40, 1250)
    weigh(mira, 2, 1100)
    season = now_of(mira)
    assert weight_loss_of(season).share == pytest.approx(0.12)
    said = weight_loss_words(season, the_program())
    assert said.startswith("Lost 12 % of her weight since ")
    assert "1.25 kg then, 1.10 kg on" in said
    assert "consider separating them" in said
    assert "Lost 12 % of her weight" in page_of(as_viewer, mira)


def test_a_loss_below_the_programs_threshold_is_not_worth_a_word(mira):
    weigh(mira, 40, 1250)
    weigh(mira, 2, 1100)
    assert weight_loss_words(now_of(mira), cast.the_program(weight_loss_caution=0.13)) == ""
    assert weight_loss_words(now_of(mira), cast.the_program(weight_loss_caution=0.12 - 1e-9)) != ""


def test_the_weight_a_birth_takes_is_no_loss(mira):
    weigh(mira, 40, 2000)
    Outcome.objects.create(female=mira, on=ago(20), kind="live_birth")
    weigh(mira, 10, 1500)
    assert weight_loss_of(now_of(mira)) is None


def test_girth_alone_is_a_measurement_and_shows_in_the_programs_unit(as_keeper, mira):
    page = reverse("animals:measure", args=[mira.pk])
    assert "venomous, barbed spine" in words(as_keeper.get(page))
    sent = {"on": clock.today().isoformat(), "girth_mm": "61.5"}
    answer = words(as_keeper.post(page, sent, follow=True))
    assert mira.measurements.get().girth_mm == 615
    assert "61.5 cm" in answer
    refused = as_keeper.post(page, {"on": clock.today().isoformat(), "girth_mm": "0.1"})
    assert "allowed is 1 to 600 cm" in words(refused)
    empty = as_keeper.post(page, {"on": clock.today().isoformat()})
    assert "Enter a size, a weight, a back height or a condition" in words(empty)


# ---------------------------------------------------------------------------- how it can end


@pytest.mark.parametrize("kind", ["resorbed", "not_pregnant", "unknown"])
def test_each_end_without_a_birth_closes_her_season_through_the_page(as_keeper, mira, deneb, kind):
    pair(mira, deneb, 60, 40)
    see(mira, days=50)
    assert now_of(mira).estimate.chance > 0.7
    sent = {"kind": kind, "on": clock.today().isoformat(), "note": "scanned empty twice"}
    page = words(as_keeper.post(reverse("pairings:outcome", args=[mira.pk]), sent, follow=True))
    assert "Written down for Mira." in page
    assert f"({Outcome.Kind(kind).label})" in page
    assert now_of(mira).since is None
    assert mira.outcomes.get().kind == kind


@pytest.mark.parametrize(
    ("pups", "premature", "kind", "how"),
    [
        (("alive", "alive"), False, "live_birth", "live birth"),
        (("alive", "dead"), False, "some_dead", "birth, 1 of 2 pups dead"),
        (("dead", "dead"), False, "some_dead", "birth, 2 of 2 pups dead"),
        (("alive",), True, "premature", "premature birth"),
        (("dead",), True, "premature", "premature birth"),
    ],
)
def test_each_birth_closes_her_season_through_the_page(
    as_keeper, mira, deneb, pups, premature, kind, how
):
    pair(mira, deneb, 130, 110)
    see(mira, days=115)
    sent = {
        "dam": mira.pk,
        "born_on": clock.today().isoformat(),
        "pups-TOTAL_FORMS": len(pups),
        "pups-INITIAL_FORMS": 0,
    }
    sent |= {f"pups-{number}-fate": fate for number, fate in enumerate(pups)}
    if premature:
        sent["premature"] = "on"
    page = words(as_keeper.post(reverse("litters:new"), sent, follow=True))
    assert how in page
    assert mira.outcomes.get().kind == kind
    assert now_of(mira).since is None
    assert ("Pups and males are apart" in page) == ("alive" in pups)


def test_an_end_entered_by_mistake_is_withdrawn_and_her_season_is_open_again(
    as_keeper, mira, deneb
):
    pair(mira, deneb, 60, 40)
    see(mira, days=50)
    before = now_of(mira).estimate.chance
    ended = record_outcome(female=mira, on=ago(1), kind="resorbed", today=clock.today(), by=None)
    page = reverse("program:withdraw", args=["outcome", ended.pk])
    assert page in page_of(as_keeper, mira)
    as_keeper.post(page, {"reason": "It was Vega"}, follow=True)
    assert now_of(mira).estimate.chance == before
