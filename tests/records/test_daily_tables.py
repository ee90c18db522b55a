"""Tables of the daily care brought in: what a row becomes, and what stands against one."""

import re
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from breeding.agenda.models import Reminder
from breeding.animals.models import Animal, Loan, Measurement
from breeding.animals.services import change_state
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.buyers.models import Contact
from breeding.feeding.models import Feeding, Meal
from breeding.health.models import Death, Quarantine, Treatment
from breeding.housing.models import Tank, WaterChange, WaterSource
from breeding.housing.services import move_animal
from breeding.litters.models import Pup
from breeding.pairings.models import Scan
from breeding.program.models import Act
from breeding.records.models import ImportDraft
from tests import cast
from tests.cast import ago, day, words
from tests.records.tables import INDEX, latest, paste, problems_of, proposal_of, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def ida():
    return Contact.objects.create(name="Ida Holm")


@pytest.fixture
def mira():
    return cast.female("Mira", code="M1")


@pytest.fixture
def rigel():
    return cast.male("Rigel", code="R1")


@pytest.fixture
def tank():
    return Tank.objects.create(name="B1")


def questions_of(answer):
    return [f"{one.where}: {one.message}" for one in proposal_of(answer).questions]


def write_surely(client):
    page = client.get(latest().get_absolute_url()).content.decode()
    mark = re.search(r'name="sure" value="([^"]+)"', page)[1]
    return client.post(reverse("records:write", args=[latest().pk]), {"sure": mark}, follow=True)


def undo(client):
    act = Act.objects.get(key=latest().written_with)
    return client.post(reverse("program:undo", args=[act.pk]), follow=True)


def test_each_table_is_known_by_its_header(as_keeper, mira, tank, ida):
    headers = {
        "animal,bought from,date,price,currency": "arrivals",
        "animal,lent or borrowed,with,since,due back,young owed": "loans",
        "animal,quarantine from,days,released,result": "quarantines",
        "animal,died on,cause of death,findings": "deaths",
        "reminder,due on,every,tank": "reminders",
        "tank,date,food,grams,eaten": "feedings",
        "tank,date,percent,source water": "changes",
        "mother,born,alive,pup weights": "litters",
        "ID,Buyer,Date,Price": "sales",
        "animal,date,weight": "measurements",
        "animal,remedy,from,to,hold until": "treatments",
    }
    found = {}
    for header in headers:
        paste(as_keeper, f"{header}\n{'x,' * header.count(',')}x\n")
        found[header] = latest().kind
    assert found == headers


class TestArrivals:
    TABLE = (
        "animal,bought from,came on,price,papers,pregnant,weather\n"
        "M1,Ida Holm,2024-03-05,350 €,breeder's certificate,scan,rain\n"
    )

    def test_a_row_says_how_it_came(self, as_keeper, mira, ida):
        assert problems_of(paste(as_keeper, self.TABLE)) == []
        write(as_keeper)
        came = Arrival.objects.get()
        assert (came.animal, came.contact, came.on) == (mira, ida, day("2024-03-05"))
        assert (came.price, came.currency) == (Decimal(350), "EUR")
        assert (came.papers, came.note) == ("breeder's certificate", "weather: rain")
        assert Scan.objects.get(female=mira).on == day("2024-03-05")

    def test_it_is_undone_as_a_whole(self, as_keeper, mira, ida):
        paste(as_keeper, self.TABLE)
        write(as_keeper)
        undo(as_keeper)
        assert not Arrival.objects.exists()
        assert not latest().is_written

    def test_a_messy_table_is_asked_about_value_by_value(self, as_keeper, mira, rigel, ida):
        found = problems_of(
            paste(
                as_keeper,
                "animal,seller,arrived,price,currency,gravid\n"
                "M1,Ida Holmm,spring 2024,about 350,EUR,perhaps\n"
                "Nobody,Ida Holm,2024-03-05,,,\n"
                "R1,,2024-03-05,100,,yes\n",
            )
        )
        assert found == [
            "Line 2, came on: “spring 2024” is not a date; write 2024-05-03, 3.5.2024 or "
            "3/5/2024, or 2024-05 or 2024 when only that is known.",
            "Line 2, from whom: “Ida Holmm” is not a person on record.",
            "Line 2, price: “about 350” is not a number; write it like 38 or 38.5.",
            "Line 2, pregnancy: “perhaps” is no pregnancy; write said to be, scan, no or not "
            "known.",
            "Line 3, animal: “Nobody” is not an animal on record.",
            "Line 4, currency: In which currency? Three letters, like EUR.",
        ]

    def test_what_stands_against_a_row_is_named_by_its_values(self, as_keeper, mira, ida, tank):
        paste(as_keeper, self.TABLE)
        write(as_keeper)
        assert problems_of(paste(as_keeper, self.TABLE)) == [
            "Line 2, came on: How Mira (M1) came on 5 March 2024, from Ida Holm, is on record "
            "already; change that on its page, or leave the row out."
        ]
        rigel = cast.male("Rigel", code="R1", born_on=day("2023-01-01"), born_precision="day")
        move_animal(rigel, tank, on=day("2023-02-01"), by=None)
        answer = paste(as_keeper, "animal,seller,came on\nR1,Ida Holm,2024-03-05\n")
        assert questions_of(answer) == [
            "Line 2, came on: Rigel was in B1 since 1 February 2023 by its stays, and would have "
            "come on 5 March 2024."
        ]
        assert problems_of(paste(as_keeper, "animal,seller,came on\nR1,Ida Holm,2022-03-05\n")) == [
            "Line 2, came on: Rigel was born on 1 January 2023; it came then or later."
        ]


class TestLoans:
    HEADER = "animal,direction,with,since,due back,returned,pups owed,pups given,season\n"

    def test_both_directions_open_and_over(self, as_keeper, mira, rigel, ida):
        paste(
            as_keeper,
            f"{self.HEADER}R1,out,Ida Holm,2023-02-01,2023-08-01,2023-09-10,2,1,spring\n"
            "R1,lent out,Ida Holm,2024-01-05,2040-01-05,,3,,\n"
            "M1,borrowed,Ida Holm,2024-02-01,,,,,\n",
        )
        assert problems_of(as_keeper.get(latest().get_absolute_url())) == []
        write(as_keeper)
        over, out = LoanAgreement.objects.filter(animal=rigel).order_by("since")
        assert (over.back_on, over.due_back_on) == (day("2023-09-10"), day("2023-08-01"))
        assert (over.young_owed, over.young_given, over.terms) == (2, 1, "season: spring")
        assert (out.is_open, out.due_back_on) == (True, day("2040-01-05"))
        rigel.refresh_from_db()
        assert (rigel.state, rigel.state_on) == ("on_loan", day("2024-01-05"))
        days = Loan.objects.filter(animal=rigel).order_by("since").values_list("since", "until")
        assert list(days) == [
            (day("2023-02-01"), day("2023-09-10")),
            (day("2024-01-05"), None),
        ]
        taken = LoanAgreement.objects.get(animal=mira)
        assert (taken.direction, taken.animal.state) == ("in", "here")

    def test_a_messy_table_is_asked_about_value_by_value(self, as_keeper, mira, rigel, ida):
        found = problems_of(
            paste(
                as_keeper,
                f"{self.HEADER}R1,away,Ida,2023-02-01,,,two,,\n"
                "R1,out,Ida Holm,2023-05-01,,2023-04-01,,,\n"
                "M1,out,Ida Holm,2041-05-01,,,,,\n",
            )
        )
        assert found == [
            "Line 2, direction: “away” is no direction; write lent out or taken in.",
            "Line 2, with whom: “Ida” is not a person on record.",
            "Line 2, young owed: “two” is not a number; write it like 38 or 38.5.",
            "Line 3, back on: 1 April 2023 is before 1 May 2023, when it was lent.",
            "Line 4, since: “2041-05-01” is still to come; it is entered once it has been.",
        ]

    def test_what_stands_against_a_row_is_named_by_its_values(
        self, as_keeper, mira, rigel, ida, tank
    ):
        paste(as_keeper, f"{self.HEADER}R1,out,Ida Holm,2023-02-01,,2023-09-10,,,\n")
        write(as_keeper)
        found = problems_of(
            paste(
                as_keeper,
                f"{self.HEADER}R1,out,Ida Holm,2023-02-01,,2023-09-10,,,\n"
                "R1,out,Ida Holm,2023-05-01,,2023-06-01,,,\n",
            )
        )
        assert found == [
            "Line 2, since: Rigel (R1), lent to somebody on 1 February 2023, is on record "
            "already; change that on its page, or leave the row out.",
            "Line 3, since: Rigel is lent to somebody from 1 February 2023 to 10 September 2023, "
            "on record already; the two cannot both be.",
        ]
        change_state(rigel, state="on_loan", on=day("2024-03-01"))
        assert problems_of(paste(as_keeper, f"{self.HEADER}R1,out,Ida Holm,2024-02-01,,,,,\n")) == [
            "Line 2, since: Rigel (R1) is on loan since 1 March 2024 by its own record, not since "
            "1 February 2024; is this an earlier loan without its end?"
        ]

    def test_where_its_records_say_otherwise_it_is_asked(self, as_keeper, mira, ida, tank):
        move_animal(mira, tank, on=day("2023-01-01"), by=None)
        answer = paste(
            as_keeper,
            f"{self.HEADER}M1,out,Ida Holm,2023-02-01,,2023-03-01,,,\n"
            "M1,in,Ida Holm,2022-01-01,,2022-03-01,,,\n",
        )
        assert questions_of(answer) == [
            "Line 3, back on: Mira is here by its own record, and would have gone back to its "
            "owner on 1 March 2022.",
            "Line 2, since: Mira was in B1 since 1 January 2023 by its stays, and would have been "
            "lent from 1 February 2023 to 1 March 2023 meanwhile.",
        ]
        write_surely(as_keeper)
        assert LoanAgreement.objects.count() == 2


class TestDeaths:
    HEADER = "animal,died on,cause of death,lab,ill since,found,notes\n"

    def test_a_row_says_that_it_died_and_how(self, as_keeper, mira):
        paste(
            as_keeper, f"{self.HEADER}M1,2024-05-02,illness,yes,2024-04-20,under the wood,at dawn\n"
        )
        write(as_keeper)
        mira.refresh_from_db()
        assert (mira.state, mira.state_on) == ("died", day("2024-05-02"))
        told = Death.objects.get(animal=mira)
        assert (told.cause, told.is_by_laboratory) == ("illness", True)
        assert (told.ill_since, told.found_where) == (day("2024-04-20"), "under the wood")
        assert told.circumstances == "at dawn"

    def test_one_that_came_in_as_dead_may_have_no_day(self, as_keeper):
        gone = cast.ray("Old", code="O1", state="died")
        paste(as_keeper, f"{self.HEADER}O1,,old age,,,,\n")
        assert problems_of(as_keeper.get(latest().get_absolute_url())) == []
        write(as_keeper)
        gone.refresh_from_db()
        assert (gone.state_on, Death.objects.get(animal=gone).cause) == (None, "age")

    def test_what_stands_against_a_row_is_named_by_its_values(self, as_keeper, mira, rigel):
        change_state(rigel, state="died", on=day("2024-04-01"))
        found = problems_of(
            paste(
                as_keeper,
                f"{self.HEADER}M1,,bite,,,,\n"
                "R1,2024-05-02,bite,,,,\n"
                "M1,2024-05-02,dropsy,,2024-06-01,,\n"
                "M1,2024-05-02,illness,,2024-05-10,,\n",
            )
        )
        assert found == [
            "Line 2, died on: Mira (M1) is on record as “here”; on which day did it die?",
            "Line 3, died on: Rigel (R1) died on 1 April 2024 by its own record, not on "
            "2 May 2024.",
            "Line 4, cause: “dropsy” is no cause; write not known, illness, bite, water, would not "
            "eat, birth, weak from birth, accident, journey, treatment, old age, put down or "
            "something else.",
            "Line 5, ill since: Mira died on 2 May 2024; then or before.",
        ]

    def test_told_twice_is_named(self, as_keeper, mira):
        row = f"{self.HEADER}M1,2024-05-02,illness,,,,\n"
        paste(as_keeper, row)
        write(as_keeper)
        assert problems_of(paste(as_keeper, row)) == [
            "Line 2, animal: How Mira (M1) died (an illness, suspected) is on record already; "
            "change that on its page, or leave the row out."
        ]

    def test_one_that_left_is_asked_about(self, as_keeper, mira):
        change_state(mira, state="left", on=day("2024-04-01"))
        answer = paste(as_keeper, f"{self.HEADER}M1,2024-05-02,illness,,,,\n")
        assert questions_of(answer) == [
            "Line 2, died on: Mira (M1) left on 1 April 2024 by its own record; it would stand as "
            "one that died here on 2 May 2024."
        ]

    def test_it_is_undone_as_a_whole(self, as_keeper, mira):
        paste(as_keeper, f"{self.HEADER}M1,2024-05-02,illness,,,,\n")
        write(as_keeper)
        undo(as_keeper)
        mira.refresh_from_db()
        assert mira.state == "here"
        assert not Death.objects.exists()


class TestQuarantines:
    HEADER = "animal,quarantine from,days,released,result,notes\n"

    def test_one_that_is_over_and_one_that_goes_on(self, as_keeper, mira, rigel):
        paste(
            as_keeper,
            f"{self.HEADER}M1,2024-01-01,30,2024-02-01,clear,quiet\nM1,2024-06-01,40,,,\n"
            "R1,2023-01-01,,2023-01-10,cut short,tank was needed\n",
        )
        assert problems_of(as_keeper.get(latest().get_absolute_url())) == []
        write(as_keeper)
        over, open_one = Quarantine.objects.filter(animal=mira).order_by("since")
        assert (over.ended_on, over.result, over.note) == (day("2024-02-01"), "clear", "quiet")
        assert (open_one.ended_on, open_one.least_days) == (None, 40)
        assert Quarantine.objects.get(animal=rigel).result == "cut_short"

    def test_what_stands_against_a_row_is_named_by_its_values(self, as_keeper, mira):
        paste(as_keeper, f"{self.HEADER}M1,2024-01-01,30,2024-02-01,clear,\n")
        write(as_keeper)
        found = problems_of(
            paste(
                as_keeper,
                f"{self.HEADER}M1,2024-01-01,30,2024-02-01,clear,\n"
                "M1,2024-01-20,30,2024-02-20,clear,\n"
                "M1,2023-03-01,,2023-02-01,clear,\n"
                "M1,2023-04-01,999,,,\n"
                "M1,2023-05-01,,2023-06-01,,\n"
                "M1,2023-07-01,,2023-08-01,cut short,\n"
                "M1,2023-09-01,,,fine so far,\n",
            )
        )
        assert found == [
            "Line 2, quarantine from: Mira (M1), in quarantine since 1 January 2024, is on record "
            "already; change that on its page, or leave the row out.",
            "Line 3, quarantine from: Mira was in quarantine from 1 January 2024 to 1 February "
            "2024, on record already.",
            "Line 4, ended on: 1 February 2023 is before it began (1 March 2023).",
            "Line 5, days at least: 999 days cannot be; allowed is 1 to 366.",
            "Line 6, result: How did it end?",
            "Line 7, note: Say why it ended before its time.",
            "Line 8, result: “fine so far” is no result; write nothing found, was ill and is well "
            "or ended before its time.",
        ]


class TestReminders:
    HEADER = "reminder,due on,every,animal,tank,person\n"

    def test_each_row_sets_one(self, as_keeper, mira, tank, ida):
        paste(
            as_keeper,
            f"{self.HEADER}ring the vet,{ago(-3)},,M1,,\nclean the filter,{ago(-1)},weekly,,B1,\n"
            f"ask for pictures,{ago(0)},,,,Ida Holm\nbuy salt,{ago(-9)},10 days,,,\n",
        )
        assert problems_of(as_keeper.get(latest().get_absolute_url())) == []
        write(as_keeper)
        found = {one.text: one for one in Reminder.objects.all()}
        assert (found["ring the vet"].animal, found["ring the vet"].on) == (mira, ago(-3))
        assert (found["clean the filter"].tank, found["clean the filter"].every_days) == (tank, 7)
        assert found["ask for pictures"].contact == ida
        assert found["buy salt"].every_days == 10
        again = paste(as_keeper, f"{self.HEADER}Ring the vet,{ago(-3)},,M1,,\n")
        assert len(questions_of(again)) == 1
        assert "is on record already; this sets it twice" in questions_of(again)[0]

    def test_what_stands_against_a_row_is_named_by_its_values(self, as_keeper, mira, tank, ida):
        found = problems_of(
            paste(
                as_keeper,
                f"{self.HEADER}ring the vet,2024-01-01,,M1,,\n"
                f"clean the filter,{ago(-1)},now and then,,B2,\n"
                f"both,{ago(-1)},,M1,B1,\n"
                f"seldom,{ago(-1)},2000,,,\n",
            )
        )
        assert found == [
            "Line 2, for: 1 January 2024 is past; choose today or a later day.",
            "Line 3, every so many days: “now and then” is not a number; write it like 38 or 38.5.",
            "Line 3, tank: “B2” is not a tank on record.",
            "Line 4: It is about Mira and B1; a reminder is about one of them, or none.",
            "Line 5, every so many days: 2000 days cannot be; allowed is 1 to 1000.",
        ]


class TestSizesOfPups:
    HEADER = "mother;born;alive;dead;females;pup weights (g);pup widths (cm)\n"

    def born(self, client, row):
        return paste(client, f"{self.HEADER}{row}\n")

    def test_each_pup_takes_its_weight_and_width(self, as_keeper, mira):
        self.born(as_keeper, f"M1;{ago(50)};3;0;;85 90 ?;10,5 / 11 / 10")
        write(as_keeper)
        pups = Pup.objects.order_by("number").values_list("weight_g", "disc_width_mm")
        assert list(pups) == [(85, 105), (90, 110), (None, 100)]
        first = Animal.objects.get(pup_rows__number=1)
        size = Measurement.objects.get(animal=first)
        assert (size.on, size.weight_g, size.disc_width_mm) == (ago(50), 85, 105)

    def test_those_born_dead_may_have_theirs_too_and_the_order_is_asked(self, as_keeper, mira):
        answer = self.born(as_keeper, f"M1;{ago(50)};2;1;;85, 90, 60;")
        assert questions_of(answer) == [
            f"Line 2, weights of the pups: The sizes of the pups of Mira (M1), born "
            f"{ago(50).day} {ago(50):%B %Y}, are taken in this order: the young on record, "
            "females, males, those whose sex nobody wrote down, then those born dead."
        ]
        write_surely(as_keeper)
        pups = Pup.objects.order_by("number").values_list("alive", "weight_g")
        assert list(pups) == [(True, 85), (True, 90), (False, 60)]

    def test_young_on_record_come_first(self, as_keeper, mira):
        pip = cast.ray("Pip", code="P1", dam=mira, born_on=ago(50), born_precision="day")
        self.born(as_keeper, f"M1;{ago(50)};2;0;;85,90,;")
        assert problems_of(as_keeper.get(latest().get_absolute_url())) == []
        write(as_keeper)
        assert Measurement.objects.get(animal=pip).weight_g == 85
        assert list(Measurement.objects.exclude(animal=pip).values_list("weight_g", flat=True)) == [
            90
        ]

    @pytest.mark.parametrize(
        ("cell", "said"),
        [
            (
                "85; 90",
                "2 weights for 3 or 4 pups; write one for each pup born alive, or for each of "
                "all, and ? for one that nobody measured.",
            ),
            ("85,90", "“85,90” can be one number or two; write 85; 90 for two."),
            ("85; heavy; 90", "“heavy” is not a number; write it like 38 or 38.5."),
        ],
    )
    def test_what_stands_against_it_is_named_by_its_values(self, as_keeper, mira, cell, said):
        table = f'mother,born,alive,dead,pup weights\nM1,{ago(50)},3,1,"{cell}"\n'
        (found,) = problems_of(paste(as_keeper, table))
        assert found.startswith(f"Line 2, weights of the pups: {said}")


class TestFeedings:
    def test_a_tank_is_everybody_in_it_on_that_day(self, as_keeper, mira, rigel, tank):
        move_animal(mira, tank, on=day("2024-01-01"), by=None)
        move_animal(rigel, tank, on=day("2024-06-01"), by=None, sure=cast.SURE)
        paste(
            as_keeper,
            "tank,fed at,food,grams,eaten,notes\nB1,2024-03-05 18:30,mussel,60,ate,lights off\n",
        )
        write(as_keeper)
        (fed,) = Feeding.objects.all()
        assert (fed.tank, fed.food.name, fed.amount_g) == (tank, "mussel", Decimal("60.0"))
        assert (f"{fed.fed_at:%Y-%m-%d %H:%M}", fed.note) == ("2024-03-05 18:30", "lights off")
        meals = Meal.objects.values_list("animal__call_name", "took")
        assert list(meals) == [("Mira", "all")]

    def test_animals_by_name_and_what_each_made_of_it(self, as_keeper, mira, rigel):
        paste(as_keeper, 'animals,date,food,took\n"M1, R1",2024-03-05,prawn,refused\n')
        write(as_keeper)
        meals = Meal.objects.order_by("animal__call_name").values_list("animal__call_name", "took")
        assert list(meals) == [("Mira", "none"), ("Rigel", "none")]

    def test_what_stands_against_a_row_is_named_by_its_values(self, as_keeper, mira, tank):
        found = problems_of(
            paste(
                as_keeper,
                "tank,animals,fed on,food,amount,took\n"
                "B1,,2024-03-05,smelt,60,ate\n"
                ",,2024-03-05,smelt,60,ate\n"
                "B9,,2024-03-05,smelt,a lot,liked it\n"
                ",M9,2024-03-05,smelt,,\n",
            )
        )
        assert found == [
            "Line 2, tank: Nobody was in B1 on 5 March 2024 by the records; name the animals.",
            "Line 3, tank: Which tank was fed, or which animals?",
            "Line 4, tank: “B9” is not a tank on record.",
            "Line 4, how much: “a lot” is not a number; write it like 38 or 38.5.",
            "Line 4, eaten: “liked it” is no eaten; write ate, ate little, refused or nobody saw.",
            "Line 5, animals: “M9” is not an animal on record.",
        ]

    def test_the_same_round_twice_is_asked_about(self, as_keeper, mira, tank):
        move_animal(mira, tank, on=day("2024-01-01"), by=None)
        table = "tank,fed at,food,took\nB1,2024-03-05 18:30,pellets,ate\n"
        paste(as_keeper, table)
        write(as_keeper)
        assert questions_of(paste(as_keeper, table)) == [
            "Line 2, fed on: This round at 2024-03-05 18:30 is on record already; this writes a "
            "second one."
        ]

    def test_it_is_undone_as_a_whole(self, as_keeper, mira):
        paste(as_keeper, "animals,date,food,took\nM1,2024-03-05,prawn,refused\n")
        write(as_keeper)
        undo(as_keeper)
        assert not Feeding.objects.filter(withdrawn_at__isnull=True).exists()


class TestWaterChanges:
    def test_how_much_and_with_what_water(self, as_keeper, tank):
        source = WaterSource.objects.create(name="rain butt", comes_from="rain")
        Tank.objects.create(name="B2")
        paste(
            as_keeper,
            "tank,changed on,percent,litres,source,notes\n"
            "B1,2024-03-05 09:15,30%,,rain butt,after the storm\nB2,2024-03-05,,50 gal,,\n",
        )
        assert problems_of(as_keeper.get(latest().get_absolute_url())) == []
        write(as_keeper)
        one, other = WaterChange.objects.order_by("tank__name")
        assert (one.percent, one.litres, one.source, one.note) == (
            *(30, None),
            *(source, "after the storm"),
        )
        assert f"{one.changed_at:%Y-%m-%d %H:%M}" == "2024-03-05 09:15"
        assert (other.litres, f"{other.changed_at:%H:%M}") == (189, "12:00")

    def test_what_stands_against_a_row_is_named_by_its_values(self, as_keeper, tank):
        found = problems_of(
            paste(
                as_keeper,
                "tank,changed on,percent,litres,source\n"
                "B9,2024-03-05,30,,\n"
                "B1,yesterday,half,,tapp\n"
                "B1,2024-03-05,0,,\n"
                "B1,2024-03-06,140,,\n",
            )
        )
        assert found == [
            "Line 2, tank: “B9” is not a tank on record.",
            "Line 3, changed on: “yesterday” is not a date; write 2024-05-03, 3.5.2024 or "
            "3/5/2024, or 2024-05 or 2024 when only that is known.",
            "Line 3, percent: “half” is not a number; write it like 38 or 38.5.",
            "Line 3, source water: “tapp” is not a source water on record.",
            "Line 4, percent: 0 is less than 1; leave it empty if nobody knows.",
            "Line 5, percent: 140 is more than 100 percent.",
        ]

    def test_a_source_that_is_not_on_record_can_become_one(self, as_keeper, tank):
        page = paste(as_keeper, "tank,changed on,percent,source\nB1,2024-03-05,30,well\n")
        (row,) = page.context["answers"].open_rows()
        as_keeper.post(
            latest().get_absolute_url(), {"answers": "1", f"act_{row[0].name}": "new"}, follow=True
        )
        write(as_keeper)
        assert WaterChange.objects.get().source.name == "well"

    def test_the_same_change_twice_is_asked_about(self, as_keeper, tank):
        table = "tank,changed on,percent\nB1,2024-03-05,30\n"
        paste(as_keeper, table)
        write(as_keeper)
        assert questions_of(paste(as_keeper, table)) == [
            "Line 2, changed on: A water change of B1 at 2024-03-05 12:00 is on record already; "
            "this writes a second one."
        ]


def test_a_hold_may_last_until_a_day_to_come(as_keeper, mira):
    paste(
        as_keeper,
        f"animal,remedy,from,to,hold until,vet\nM1,Salt,{ago(3)},{ago(1)},{ago(-20)},Dr Lark\n",
    )
    assert problems_of(as_keeper.get(latest().get_absolute_url())) == []
    write(as_keeper)
    assert Treatment.objects.get().hold_until == ago(-20)


def test_a_workbook_of_the_daily_care_comes_in_sheet_by_sheet(as_keeper):
    """Animals and people first, what rests on them after; new people are made on the way."""
    import io

    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    sheets = {
        "Losses": [["ray", "died", "cause"], ["R1", day("2024-05-02"), "age"]],
        "Bought": [["ray", "seller", "date"], ["M1", "Kim Lund", day("2024-01-05")]],
        "People": [["Name", "phone"], ["Kim Lund", "0123"]],
        "Rays": [["ID", "Name", "Sex"], ["M1", "Mira", "f"], ["R1", "Rigel", "m"]],
    }
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    file = io.BytesIO()
    book.save(file)
    as_keeper.post(INDEX, {"file": SimpleUploadedFile("care.xlsx", file.getvalue())}, follow=True)
    kinds = list(ImportDraft.objects.order_by("pk").values_list("kind", flat=True))
    assert sorted(kinds) == ["animals", "arrivals", "deaths", "people"]
    for kind in ("animals", "people", "arrivals", "deaths"):
        draft = ImportDraft.objects.get(kind=kind)
        as_keeper.post(reverse("records:write", args=[draft.pk]), follow=True)
    assert Arrival.objects.get().contact.name == "Kim Lund"
    assert Death.objects.get().animal.name == "Rigel"
    assert "Kim Lund" in words(
        as_keeper.get(reverse("animals:detail", args=[Arrival.objects.get().animal_id]))
    )
