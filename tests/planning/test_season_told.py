"""What the season's plan says beside its pairs: what is under way, from when, instead of whom, and
who is not in it. Families are small enough to reckon by hand."""

import datetime
from types import SimpleNamespace

import pytest
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.animals.services import add_measurement
from breeding.health.illness.treating import Prescribed, treat
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.pairings.services import record_scan
from breeding.planning.next_year.missing import no_room_to_buy
from breeding.planning.next_year.size import Demand, bearable
from breeding.planning.season.asking import cared_for
from breeding.planning.season.reasons import Line
from breeding.planning.season.told.begin import Kind
from breeding.planning.season.told.under_way import Settled, UnderWay
from breeding.planning.services import plan_pairing
from breeding.program import clock
from breeding.words.days import long_day
from tests import cast

SEASON, STATE = (reverse(f"planning:{one}") for one in ("season", "state"))
WILD = {"pure": "motoro", "born_on": cast.day("2018-05-01"), "origin": "wild"}


def page(client, **asked):
    return client.get(SEASON, asked)


def pairs_of(answer):
    return [
        (row.female.animal.call_name, row.male.animal.call_name)
        for row in answer.context["plan"].rows
    ]


@pytest.fixture
def mira_carries(as_keeper):
    """Mira was seen mating with Deneb 60 days ago, and a scan saw pups; Rigel is free."""
    mira, deneb, rigel = cast.female(**WILD), cast.male(**WILD), cast.male("Rigel", **WILD)
    cast.pair(mira, deneb, 60, 50)
    cast.see(mira, 60)
    today = clock.today()
    record_scan(female=mira, on=cast.ago(5), positive=True, today=today, by=None)
    return mira, deneb, rigel


def test_one_with_a_litter_under_way_is_not_planned_and_is_said_first(as_keeper, mira_carries):
    mira, deneb, _rigel = mira_carries
    vega = cast.female("Vega", **WILD)
    answer = page(as_keeper)
    assert [her for her, _ in pairs_of(answer)] == [vega.call_name]
    (settled,) = answer.context["settled"].carrying
    assert settled.female.animal == mira
    assert f"a litter by {deneb.name} already" in settled.words
    assert "pups seen" in settled.words
    assert "due by" in settled.words
    # Mira and Deneb are from the wild, and nobody else living carries anything of either.
    assert settled.helps in (
        "This litter carries on the line of Mira.",
        "This litter carries on the line of Deneb.",
    )
    assert settled.words in cast.words(answer)
    (group,) = [one for one in answer.context["without"] if one.heading == "A litter under way"]
    assert [one.animal for one in group.rows] == [mira]


def test_chosen_by_hand_she_is_planned_for_after_the_birth_and_it_is_said_on_list_and_card(
    as_keeper, mira_carries
):
    mira, _deneb, rigel = mira_carries
    answer = page(as_keeper, female=mira.pk, male=rigel.pk, per_female=1, diversity="0")
    (row,) = answer.context["plan"].rows
    assert row.begin.kind is Kind.LATER
    assert row.not_before > clock.today() + datetime.timedelta(days=20)
    (against,) = row.begin.against
    assert against.startswith("Mira")
    assert "litter by Deneb already" in against
    assert cast.words(answer).count(f"{against}.") == 2  # in the list, and on the card


def test_now_is_only_what_can_be_done_today_and_the_cards_are_in_the_order_of_the_list(as_keeper):
    """Rigel is held after a treatment; Sabik is thin, and nobody knows for how long."""
    today = clock.today()
    for name in ("Mira", "Vega", "Lyra"):
        cast.female(name, **WILD)
    cast.male("Deneb", **WILD)
    rigel, sabik = cast.male("Rigel", **WILD), cast.male("Sabik", **WILD)
    until = today + datetime.timedelta(days=22)
    given = Prescribed("Willow drops", cast.ago(9), cast.ago(5), until)
    treat(rigel, given, today=today, by=None, sure=cast.SURE, reason="said so")
    add_measurement(sabik, on=today, condition=1, by=None)
    everybody = {
        "female": [one.pk for one in Animal.objects.filter(sex="F")],
        "male": [one.pk for one in Animal.objects.filter(sex="M")],
        **{"per_female": 1, "per_male": 1, "diversity": "0"},
    }
    answer = page(as_keeper, **everybody)
    found, rows = answer.context["answer"], answer.context["plan"].rows
    assert [row.male.animal.call_name for row in rows] == ["Deneb", "Rigel", "Sabik"]
    assert [row.number for row in rows] == [1, 2, 3]
    assert (*found.now, *found.first, *found.later, *found.open) == rows
    assert [len(one) for one in (found.now, found.first, found.later, found.open)] == [1, 0, 1, 1]
    (held,) = found.later
    assert held.not_before == today + datetime.timedelta(days=22)
    text = cast.words(answer)
    assert text.count(f"{held.begin.against[0]}.") == 2
    assert text.count(f"Sabik is thin (condition 1 of 5 on {long_day(today)}).") == 2
    assert "Not yet, and nobody knows from when" in text


def test_what_is_planned_already_is_said_and_its_female_is_not_planned_again(as_keeper, keeper):
    """Mira waits for her half brother Altair: F 1/8, the limit itself. Deneb is kin to nobody."""
    sire = cast.male("Rigel", **WILD, state="left", state_on=cast.day("2022-01-01"))
    dams = [
        cast.female(name, **WILD, state="left", state_on=cast.day("2022-01-01"))
        for name in ("Dam A", "Dam B")
    ]
    born = cast.day("2020-05-01")
    mira = cast.female(sire=sire, dam=dams[0], born_on=born)
    altair = cast.male("Altair", sire=sire, dam=dams[1], born_on=born)
    cast.male("Deneb", **WILD)
    vega = cast.female("Vega", **WILD)
    today = clock.today()
    day = today + datetime.timedelta(days=10)
    plan_pairing(
        female=mira, male=altair, not_before=day, by=keeper, today=today, sure=cast.SURE, reason="x"
    )
    answer = page(as_keeper)
    assert [her for her, _ in pairs_of(answer)] == [vega.call_name]
    (settled,) = answer.context["settled"].planned
    assert settled.to_change
    assert "F 12.5 %: your limit is F below 12.5 %" in settled.words
    assert "Deneb would give F 0 %." in settled.also
    assert "Planned:" in cast.words(answer).split("Under way")[1]
    by_hand = page(as_keeper, female=mira.pk, male=altair.pk, per_female=1, diversity="0")
    (row,) = by_hand.context["plan"].rows
    assert any(one.startswith("Mira is planned already with Altair from") for one in row.also)


def test_the_limit_leaves_out_f_of_just_so_much_and_a_typed_one_takes_it_in(as_keeper):
    """Half siblings: F 1/8, from which a reason is asked."""
    sire = cast.male("Rigel", **WILD, state="left", state_on=cast.day("2022-01-01"))
    dams = [
        cast.female(name, **WILD, state="left", state_on=cast.day("2022-01-01"))
        for name in ("Dam A", "Dam B")
    ]
    born = cast.day("2020-05-01")
    mira = cast.female(sire=sire, dam=dams[0], born_on=born)
    altair = cast.male("Altair", sire=sire, dam=dams[1], born_on=born)
    answer = page(as_keeper)
    assert "no pair for which a reason has to be written (F of 12.5 % or more)" in cast.words(
        answer
    )
    (way,) = answer.context["collide"].ways_out
    again = as_keeper.get(f"{SEASON}?{way.query}")
    assert pairs_of(again) == [("Mira", "Altair")]
    typed = {"female": mira.pk, "male": altair.pk, "per_female": 1, "diversity": "0"}
    assert pairs_of(page(as_keeper, **typed, most="12.5")) == [("Mira", "Altair")]
    assert "cannot all be met" in cast.words(page(as_keeper, **typed, most="12.49"))


@pytest.fixture
def four(as_keeper):
    """Mira and Deneb, Vega and Altair: two litters of two unrelated pairs. Only across is F 0."""
    born = {"pure": "motoro", "born_on": cast.day("2015-05-01")}
    found = []
    for name, hers, his in (("A", "Mira", "Deneb"), ("B", "Vega", "Altair")):
        gone = {"state": "left", "state_on": cast.day("2022-01-01"), "origin": "wild"}
        sire, dam = (
            cast.male(f"Sire {name}", **born, **gone),
            cast.female(f"Dam {name}", **born, **gone),
        )
        young = {"sire": sire, "dam": dam, "born_on": cast.day("2020-05-01")}
        found += [cast.female(hers, **young), cast.male(his, **young)]
    return found


def test_who_would_come_in_instead_is_who_comes_in_when_it_is_asked(as_keeper, four):
    """Of two pairs that are as good one is asked for: the other is named, no rule forbids it."""
    answer = page(as_keeper, litters="1")
    (row,) = answer.context["plan"].rows
    taken = (row.female.animal.call_name, row.male.animal.call_name)
    other = ({("Mira", "Altair"), ("Vega", "Deneb")} - {taken}).pop()
    assert row.instead[0] == f"Without these two {other[0]} with {other[1]} (F 0 %) would come in."
    assert row.instead[-1].startswith("That would do about as well")
    text = cast.words(answer)
    assert "There is no other way to keep all the rules" not in text
    key = f"{row.female.animal.pk}-{row.male.animal.pk}"
    assert pairs_of(page(as_keeper, litters="1", must_not=key)) == [other]


def test_next_best_names_the_nearest_under_the_limit(as_keeper, four):
    """Each has only her own brother beside the one she is given: F 1/4."""
    rows = page(as_keeper).context["plan"].rows
    assert {row.none_else for row in rows} == {
        "of those who are free none has F below 12.5 %; nearest is Deneb, F 25 %",
        "of those who are free none has F below 12.5 %; nearest is Altair, F 25 %",
    }


def test_who_has_no_mate_is_grouped_by_the_reason(as_keeper, four):
    """No room: one pairing is asked for. No kind: the only P. leopoldi."""
    leda = cast.female("Leda", pure="leopoldi", born_on=cast.day("2015-05-01"), origin="wild")
    today = clock.today()
    thin, young = cast.female("Nunki", **WILD), cast.female("Izar", **WILD)
    add_measurement(thin, on=today, condition=1, by=None)
    young.born_on = cast.ago(549)  # fit from 730 days on, and that is no more of this season
    young.save()
    answer = page(as_keeper, litters="1")
    groups = {
        group.heading: {one.animal.call_name: one.words for one in group.rows}
        for group in answer.context["without"]
    }
    (row,) = answer.context["plan"].rows
    left = {"Mira", "Vega", "Deneb", "Altair"} - {
        row.female.animal.call_name,
        row.male.animal.call_name,
    }
    assert left <= set(groups["No room in this plan"])
    assert all("could go with" in groups["No room in this plan"][name] for name in left)
    assert groups["Nobody of its kind"] == {leda.call_name: ""}
    assert groups["Not fit for now"] == {
        "Nunki": f"is thin (condition 1 of 5 on {long_day(today)})"
    }
    assert groups["Too young or too small"]["Izar"].startswith("old enough from")
    text = cast.words(answer)
    assert 'id="without"' in text
    state = cast.words(as_keeper.get(STATE))
    assert "In this season&#x27;s plan, with" in state
    assert "Not in this season&#x27;s plan. Nobody of its kind." in state
    assert f"{SEASON}#without" in state


def test_all_too_close_are_named_with_the_nearest(as_keeper):
    sire, dam = cast.male("Rigel", **WILD), cast.female("Nunki", **WILD)
    cast.female("Lyra", sire=sire, dam=dam, born_on=cast.day("2020-05-01"))
    answer = page(as_keeper)
    (group,) = [
        one for one in answer.context["without"] if one.heading == "Too close to all who are free"
    ]
    assert [(one.animal.call_name, one.words) for one in group.rows] == [
        ("Lyra", "of those who are free none has F below 12.5 %; nearest is Rigel, F 25 %")
    ]


def test_the_sum_of_pairings_can_be_followed():
    """3 young, 3.1 to a litter: with 2 held back each leaves 1.1, so 3; with none held back 1."""
    assert Demand(3, 3.1).litters == 3
    assert Demand(3, 3.1, 0).litters == 1
    found = bearable(
        tanks=["North (free)", "South (free)", "East (free)"],
        taken=["Mira"],
        demand=Demand(3, 3.1, 0),
        thin_lines=2,
    )
    assert found.number == 2
    assert found.words == (
        "3 tanks for litters: North (free), South (free) and East (free).",
        "1 is needed by then for a litter under way or planned (Mira).",
        "Each further litter needs one: room for 2 pairings.",
        "Buyers wait for 3 young; a litter has about 3.1, and of the litters here now none need be "
        "held back: 1 litter.",
        "2 lines nearly lost go through these females: each gets a litter, though nobody waits for "
        "it.",
        "The fewer of both: 2 pairings.",
    )


def test_litters_that_are_coming_serve_buyers_first():
    """3 young at 1.1 a litter are 3 litters; 2 are coming, so 1 more; 4 coming, so none."""
    assert Demand(3, 3.1, coming=2).further == 1
    assert Demand(3, 3.1, coming=4).further == 0
    assert Demand(3, 3.1, coming=4).words.endswith(
        "4 are under way or planned, so more for buyers: none."
    )
    found = bearable(tanks=["North (free)"], taken=["Mira"], demand=Demand(3, 3.1, coming=4))
    assert found.number == 1
    assert "Each further litter needs one: room for none." in found.words
    assert found.words[-1].startswith("So none is needed or has room; one is planned all the same")


def test_a_litter_planned_takes_its_tank(as_keeper, keeper, four):
    mira, _, _, altair = four
    Tank.objects.create(name="North")
    Tank.objects.create(name="South")
    assert page(as_keeper).context["form"].bears.number == 2
    today = clock.today()
    plan_pairing(female=mira, male=altair, not_before=today, by=keeper, today=today)
    answer = page(as_keeper)
    bears = answer.context["form"].bears
    assert bears.number == 1
    assert "1 is needed by then for a litter under way or planned (Mira)." in bears.words
    assert pairs_of(answer) == [("Vega", "Deneb")]


def test_f_is_said_in_the_list_with_how_much_is_known_and_names_lead_on(as_keeper, four):
    mira, *_ = four
    answer = page(as_keeper)
    (row,) = [one for one in answer.context["plan"].rows if one.female.animal == mira]
    assert row.known_words == "but only 6 of 14 ancestors known"  # parents and their parents
    listed = cast.words(answer).split("On each card")[0]
    assert "F 0 %, no common ancestor on record, but only 6 of 14 ancestors known." in listed
    assert f'<a href="{mira.get_absolute_url()}">Mira</a>' in listed


def test_hybrids_in_the_plan_are_said_with_the_law(as_keeper):
    motoro, leopoldi = (
        cast.male("Rigel", **WILD),
        cast.female("Leda", **WILD | {"pure": "leopoldi"}),
    )
    mira = cast.female(sire=motoro, dam=leopoldi, born_on=cast.day("2020-05-01"))
    hamal = cast.male("Hamal", **WILD)
    asked = {"female": mira.pk, "male": hamal.pk, "per_female": 1, "diversity": "0"}
    answer = page(as_keeper, **asked)
    (row,) = answer.context["plan"].rows
    assert row.hybrids == "Mira is a hybrid, and so are the young"
    text = cast.words(answer)
    assert text.count(row.hybrids) == 2  # in the list and on the card
    assert "Young of Potamotrygon motoro and Potamotrygon leopoldi are hybrids" in text
    assert "Potamotrygon leopoldi: CITES Appendix II since 23 February 2023" in text


def test_the_plan_in_german(as_keeper, four):
    answer = as_keeper.get(SEASON, headers={"accept-language": "de"})
    text = cast.words(answer)
    assert "2 weitere Verpaarungen für diese Saison." in text
    assert "aber nur 6 von 14 Vorfahren bekannt" in text
    assert (
        "von denen, die frei sind, hat niemand F unter 12,5 %; am nächsten kommt Deneb, F 25 %"
        in text
    )


def test_a_line_is_cared_for_by_a_litter_of_either_parent():
    """One litter by a male of a line, one planned of a female of another; a third has none."""
    by_dam, by_sire, neither = (SimpleNamespace(animal=SimpleNamespace(pk=pk)) for pk in (1, 2, 3))
    settled = UnderWay(
        carrying=(Settled(by_sire, "", males=(20,)), Settled(neither, "")),
        planned=(Settled(by_dam, "", males=(30,)),),
    )
    lines = {1: Line(100, 1), 20: Line(200, 1), 4: Line(300, 1)}
    assert cared_for(settled, lines) == {100, 200}


def test_a_mate_that_is_busy_is_named_where_all_that_are_free_are_too_close(as_keeper):
    """Lyra is the daughter of Rigel, who is free; Deneb is kin to nobody, and is with Vega."""
    sire, dam = cast.male("Rigel", **WILD), cast.female("Nunki", **WILD)
    cast.female("Lyra", sire=sire, dam=dam, born_on=cast.day("2020-05-01"))
    cast.pair(cast.female("Vega", **WILD), cast.male("Deneb", **WILD), 5)
    found = {
        one.animal.call_name: one.words
        for group in page(as_keeper).context["without"]
        for one in group.rows
    }
    assert found["Lyra"].endswith("; Deneb would be right, F 0 %, but is with Vega")


def test_of_two_that_are_together_it_is_said_that_they_are_too_close(as_keeper):
    sire, dam = cast.male("Rigel", **WILD), cast.female("Nunki", **WILD)
    lyra = cast.female("Lyra", sire=sire, dam=dam, born_on=cast.day("2020-05-01"))
    cast.pair(lyra, sire, 1, reason="a test of the line")
    (settled,) = page(as_keeper).context["settled"].together
    assert "Young of Rigel have F 25 %: your limit is F below 12.5 %." in settled.also


def test_a_pairing_for_which_there_is_no_room_is_said_to_be_only_the_next():
    assert bearable(tanks=[], demand=None).is_none
    assert not bearable(tanks=[], demand=None).has_room
    assert bearable(tanks=["North"], demand=Demand(0, 3)).has_room
    assert not bearable(tanks=["North (free)"], demand=None).is_none


def test_without_a_free_tank_one_is_to_be_made_free_for_the_two(as_keeper):
    cast.female("Mira", **WILD), cast.male("Deneb", **WILD)
    text = cast.words(page(as_keeper))
    assert "No tank is free today: make one free for these two first." in text
    assert "one has to move to the other" not in text


def test_the_page_of_planned_pairings_says_what_the_plan_says_of_them(as_keeper, keeper):
    """Of a pair over the limit, of a male that would be better, and of one held after a treatment:
    the same sentences at both doors."""
    rigel, vega = cast.male("Rigel", **WILD), cast.female("Vega", **WILD)
    born = {"sire": rigel, "dam": vega, "born_on": cast.day("2020-05-01")}
    mira, altair = cast.female("Mira", **born), cast.male("Altair", **born)
    cast.male("Polaris", **WILD)
    today = clock.today()
    given = Prescribed("Magenta", today, hold_until=today + datetime.timedelta(days=30))
    treat(altair, given, today=today, by=None, sure=cast.SURE, reason="said so")
    plan_pairing(
        female=mira,
        male=altair,
        not_before=today,
        by=keeper,
        today=today,
        sure=cast.SURE,
        reason="x",
    )
    (settled,) = page(as_keeper).context["settled"].planned
    waits = as_keeper.get(reverse("planning:waiting"))
    (told,) = waits.context["waiting"]
    assert (told.words, told.also, told.to_change) == (settled.words, settled.also, True)
    assert "F 25 %: your limit is F below" in told.words
    assert "Polaris would give F 0 %." in told.also
    for said in (told.words, *told.also):
        assert said in cast.words(waits)


def test_who_is_missing_needs_a_tank_of_its_own(as_keeper, four):
    plan = SimpleNamespace(rows=[SimpleNamespace(tank="North"), SimpleNamespace(tank="")])
    assert no_room_to_buy(plan, [], has_tanks=False) == ""  # nobody says where the tanks are
    assert no_room_to_buy(plan, ["North", "South"], has_tanks=True) == ""
    assert "given to pairs of this plan" in no_room_to_buy(plan, ["North"], has_tanks=True)
    said = no_room_to_buy(plan, [], has_tanks=True)
    assert said.startswith("No tank is free today")
    assert said not in cast.words(page(as_keeper))
    only = Tank.objects.create(name="North")
    move_animal(four[0], only, on=clock.today(), by=None)
    answer = page(as_keeper)
    assert answer.context["missing"]
    assert said in cast.words(answer)


def test_a_line_nearly_lost_says_what_is_under_way_for_it(as_keeper, mira_carries):
    """Mira carries a litter of Deneb: both are the last of their line. Rigel has none coming."""
    cast.ray("Sterope", **WILD)
    answer = as_keeper.get(STATE)
    coming = {line.name: said for line, said in answer.context["lines"]}
    (mira,) = coming["Mira"]
    assert mira.startswith("Under way: Mira ")
    assert f"a litter by {mira_carries[1].name} already" in mira
    text = cast.words(answer)
    assert "A litter of Mira carries the line on." not in text
    assert "A litter of Rigel carries the line on." in text
    assert "Young of Sterope would carry the line on; whether it is male or female" in text
