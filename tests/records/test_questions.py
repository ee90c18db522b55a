"""What a table is asked about once before it is written, and sizes without a day."""

import re

import pytest
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.program import clock
from breeding.program.problems.doubts import DoubtError
from breeding.program.queries import the_program
from breeding.records.services import write_draft
from tests import cast
from tests.records.tables import choose, latest, paste, problems_of, proposal_of, write

pytestmark = pytest.mark.django_db

SLIP = "code,name,dw,weight\nA,Mira,42,42\nB,Vega,42,3300\n"


def questions_of(answer):
    return [f"{one.where}: {one.message}" for one in proposal_of(answer).questions]


def test_a_weight_that_cannot_go_with_its_width_is_asked_about_by_line(as_keeper):
    answer = paste(as_keeper, SLIP)
    assert problems_of(answer) == []
    assert questions_of(answer) == [
        "Line 2, weight: Mira: A weight of 42 g does not go with a disc width of 42.0 cm: about "
        "3.32 kg would be usual. Is one of the two in another unit?"
    ]
    page = cast.words(answer)
    assert "1 question before it is written" in page
    assert "All of it is right as it stands" in page


def test_without_an_answer_nothing_is_written(as_keeper):
    paste(as_keeper, SLIP)
    assert "Nothing was written: answer what is asked below first." in cast.words(write(as_keeper))
    assert Animal.objects.count() == 0
    with pytest.raises(DoubtError):
        write_draft(latest(), by=None, program=the_program(), now=clock.now(), today=clock.today())


def test_with_the_tick_it_is_written_as_it_stands(as_keeper):
    page = paste(as_keeper, SLIP).content.decode()
    mark = re.search(r'name="sure" value="([^"]+)"', page)[1]
    as_keeper.post(reverse("records:write", args=[latest().pk]), {"sure": mark})
    assert Animal.objects.get(code="A").measurements.get().weight_g == 42


def test_in_kilograms_nothing_is_asked(as_keeper):
    assert questions_of(paste(as_keeper, 'code,dw,weight (kg)\nA,42,"3,3"\n')) == []


def test_a_size_after_it_left_is_asked_about_and_after_death_refused(as_keeper):
    header = "code,name,state,since,dw,measured\n"
    answer = paste(as_keeper, f"{header}A,Mira,left,2024-05-01,42,2024-06-01\n")
    assert questions_of(answer) == [
        "Line 2, measured on: Mira: 1 June 2024 is after Mira left (1 May 2024)."
    ]
    answer = paste(as_keeper, f"{header}A,Mira,died,2024-05-01,42,2024-06-01\n")
    assert problems_of(answer) == [
        "Line 2, measured on: 1 June 2024 is after Mira died (1 May 2024)."
    ]


def test_a_size_without_a_date_is_of_a_day_unknown_and_never_of_today(as_keeper):
    answer = paste(as_keeper, "code,name,state,dw\nA,Mira,died,42\n")
    assert "disc width</span> 42.0 cm (day unknown)" in cast.words(answer)
    assert (
        "No day is given for the sizes of 1 row; they are written as of a day unknown."
        in proposal_of(answer).notes
    )
    write(as_keeper)
    mira = Animal.objects.get(code="A")
    assert mira.measurements.get().on is None
    assert "day unknown" in cast.words(as_keeper.get(mira.get_absolute_url()))
    told = cast.words(as_keeper.get(reverse("records:animal", args=[mira.pk])))
    assert "The day of the measuring is unknown" in told


def test_the_day_of_the_row_and_then_of_the_table_are_taken(as_keeper):
    paste(as_keeper, "code,dw,measured\nA,42,2024-05-01\nB,43,\n")
    choose(as_keeper, measured_on="2024-06-01")
    write(as_keeper)
    days = {one.code: f"{one.measurements.get().on}" for one in Animal.objects.all()}
    assert days == {"A": "2024-05-01", "B": "2024-06-01"}


def test_a_number_is_read_in_a_cell_as_it_is_in_a_form(as_keeper):
    found = problems_of(paste(as_keeper, 'code,dw\nA,"1,050.5"\nB,"1,050"\nC,"10,5"\n'))
    assert found == [
        "Line 2, disc width: “1,050.5” has two separators; write 1050.5.",
        "Line 3, disc width: “1,050” can be read as 1050 or as 1.05; write 1050 or 1.05.",
    ]


# ------------------------------------------------------------ what is asked of the rows


def asked_in(answer):
    """Each open question: where, what it says, what is chosen already, what can be chosen."""
    return [
        (asked.cause.where, asked.words, asked.initial, [key for key, _ in asked.choices])
        for asked, _ in answer.context["answers"].open_rows()
    ]


def test_two_things_against_one_cell_are_one_question(as_keeper):
    answer = paste(as_keeper, "name;sex;sire;dam\nDistel;male;;\nMoos;f;Distel;Distel\n")
    ((where, said, _, _),) = asked_in(answer)
    assert where == "Line 3, dam"
    assert said == (
        "Distel is recorded as a male; a dam must be female. Distel is given as sire and as dam; "
        "the parents are two animals."
    )
    ((asked, _),) = answer.context["answers"].open_rows()
    sent = {"answers": "1", f"act_{asked.name}": "empty"}
    answer = as_keeper.post(latest().get_absolute_url(), sent, follow=True)
    assert problems_of(answer) == []


def test_the_very_value_that_was_refused_is_not_proposed(as_keeper):
    later = clock.today().year + 2
    rows = f"Nelke;f;2023;\nNelke;f;2024;\nTulpe;f;2025;Nelke\nAlge;;{later};\n"
    answer = paste(as_keeper, f"name;sex;born;dam\n{rows}")
    dam, born = asked_in(answer)
    assert (dam[0], dam[2]) == ("Line 4, dam", "")
    assert born[:3] == ("Line 5, born", f"“{later}” is still to come.", "")
    assert "as:Nelke" not in dam[3]
    assert f"as:{later}" not in born[3]


def test_a_date_that_cannot_be_still_tells_the_order_once_it_is_answered(as_keeper):
    answer = paste(as_keeper, "name;born\nTulpe;31.02.2024\nNelke;3.5.2023\n")
    ((asked, _),) = answer.context["answers"].open_rows()
    sent = {"answers": "1", f"act_{asked.name}": "as:2024"}
    answer = as_keeper.post(latest().get_absolute_url(), sent, follow=True)
    assert problems_of(answer) == []
    assert "Dates such as 3.5.2024 are read with the day first." in proposal_of(answer).notes


def test_a_row_called_like_an_animal_on_record_is_asked_about_and_written_with_the_tick(as_keeper):
    there = cast.male("Rex")
    answer = paste(as_keeper, "name,sex,born\nrex,m,2020\nNora,f,2022\n")
    assert problems_of(answer) == []
    assert questions_of(answer) == [
        f"Line 2, call name: An animal called {there.full_name} is on record already; is this "
        "another one?"
    ]
    write(as_keeper)
    assert Animal.objects.count() == 1
    mark = re.search(r'name="sure" value="([^"]+)"', answer.content.decode())[1]
    as_keeper.post(reverse("records:write", args=[latest().pk]), {"sure": mark})
    assert sorted(Animal.objects.values_list("call_name", flat=True)) == ["Nora", "Rex", "rex"]


def test_a_word_for_nobody_in_another_language_is_proposed_as_not_known(as_keeper):
    rows = "A,f,unbekannt,k. A.\nB,f,unbekannt,\nC,m,unknown 2,Unknown female\n"
    answer = paste(as_keeper, f"name,sex,sire,dam\n{rows}")
    proposed = {one[0]: one[2] for one in asked_in(answer)}
    assert proposed == {
        "Lines 2 and 3, sire": "empty",
        "Line 2, dam": "empty",
        "Line 4, sire": "new",
        "Line 4, dam": "empty",
    }
