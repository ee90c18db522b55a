"""Bringing in a table, by the pages: hand over, look through, write down."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Animal, Strain
from breeding.records.models import ImportDraft
from tests import cast
from tests.cast import words
from tests.records.tables import (
    INDEX,
    choose,
    latest,
    paste,
    problems_of,
    proposal_of,
    upload,
    write,
)

THREE = "code,name,sire,dam,born\nR3,Mira,R1,R2,2024-05-03\nR1,Deneb,,,2018-11\nR2,Vega,,,2019\n"


# ------------------------------------------------------------------------------- handing over


def test_index_says_what_to_do_first_and_offers_published_pedigrees(as_keeper):
    page = words(as_keeper.get(INDEX))
    assert "None yet." in page
    assert "Roan Gauntlet" in page
    assert "Lynch &amp; Walsh 1998" in page


def test_index_lists_what_waits_and_what_is_written(as_keeper):
    paste(as_keeper, THREE)
    assert "waiting since" in words(as_keeper.get(INDEX))
    write(as_keeper)
    assert ", Sam" in words(as_keeper.get(INDEX))
    assert "written " in words(as_keeper.get(INDEX))


def test_index_asks_for_one_of_file_and_text(as_keeper):
    assert "Choose a file, or paste" in words(as_keeper.post(INDEX, {}))
    file = SimpleUploadedFile("a.csv", b"code\nA\n")
    answer = as_keeper.post(INDEX, {"pasted": THREE, "file": file})
    assert "one of the two" in words(answer)
    assert "R3,Mira" in words(answer), "what was pasted is kept"


BAD = {
    "empty": b"",
    "only a comment": b"# nothing\n",
    "only a header": b"code,sire,dam\n",
    "binary": bytes(range(256)) * 10,
    "zip": b"PK\x03\x04" + b"\x00" * 100,
    "nul": b"code,sire\nA,\x00\n",
    "a hundred columns": b",".join(b"c%d" % n for n in range(100)) + b"\n1\n",
    "huge field": b"code,note\nA," + b"x" * 300_000,
    "open quotation mark": b'code,note\nA,"x\nB,y\n',
    "text after a quotation mark": b'code,note\nA,"x"y\n',
    "half a character": b"\xff\xfea",
    "too large": b"code,note\n" + b"A,x\n" * 600_000,
    "too many rows": b"code\n" + b"A\n" * 20_001,
}


@pytest.mark.parametrize("what", BAD)
def test_index_refuses_what_is_no_table_and_keeps_nothing(what, as_keeper):
    answer = upload(as_keeper, BAD[what])
    assert answer.status_code == 200
    assert answer.context["form"].errors
    assert not ImportDraft.objects.exists()


ODD = {
    "one column": b"code\nA\n",
    "no known header": b"alpha;beta\n1;2\n",
    "no header at all": b"R1,R2,R3\nR4,R5,R6\n",
    "ragged": b"code,sire,dam\nA\nB,A\nC,A,B,D,E\n",
    "empty headers": b"code,,\nA,B,C\n",
    "same header thrice": b"code,code,code\nA,B,C\n",
    "odd characters": "code,name\n‮abc,‮\U0001f41f\n<script>,<b>&\n".encode(),
    "long code": b"code,name\n" + b"x" * 200 + b"," + b"y" * 200 + b"\n",
    "only separators below": b"code,sire\nA,\n,\n,,,,\n",
    "parent lists": b"code,sire,dam\nA,|,|\nB,A:9|A,A:1|\nC,::,:\nD,A:1/0,\nE,A:1/2|A:1/2,\n",
    "sizes": b"code,dw,weight\nA,1e99,NaN\nB,-1,inf\nC,0,0\n",
    "dates": b"code,born,died\nA,0000-00-00,99.99.9999\nB,32/13/2024,1/1/1\n",
    "species": b"code,species\nA,|\nB,motoro:2\nC,motoro:1/2|motoro:1/2\nD,:\n",
    "lone carriage returns": b"code,sire\rA,\rB,A\r",
}


@pytest.mark.parametrize("what", ODD)
def test_columns_shows_any_odd_table_without_breaking(what, as_keeper):
    answer = upload(as_keeper, ODD[what])
    assert answer.status_code == 200
    assert "proposal" in answer.context
    assert "<script>," not in answer.content.decode()
    assert write(as_keeper).status_code == 200


# ---------------------------------------------------------------------------- looking through


def test_columns_shows_rows_in_any_order_with_what_was_read_into_them(as_keeper):
    answer = paste(as_keeper, THREE)
    page = words(answer)
    assert not proposal_of(answer).problems
    assert "3 animals can be written down" in page
    assert "read as male from being named as a sire: Deneb" in page
    assert "read as female from being named as a dam: Vega" in page
    assert "November 2018" in page
    assert not Animal.objects.exists(), "nothing is written by looking"


def test_columns_lets_the_keeper_say_what_a_header_means(as_keeper):
    answer = paste(as_keeper, "alpha;beta;gamma\nA;;\nB;A;\n")
    assert "No column says which animal a row is" in words(answer)
    answer = choose(as_keeper, column_0="code", column_1="dam")
    assert not proposal_of(answer).problems
    assert "Columns that are not brought in: gamma" in words(answer)
    write(as_keeper)
    assert Animal.objects.get(code="B").dam.code == "A"
    assert Animal.objects.get(code="A").sex == "F"


def test_columns_refuses_one_meaning_for_two_columns(as_keeper):
    paste(as_keeper, "code,sire,dam\nA,,\n")
    answer = choose(as_keeper, column_2="sire")
    assert "“sire” has this meaning already" in words(answer)
    assert latest().columns == {"code": 0, "sire": 1, "dam": 2}


def test_columns_reads_the_table_with_another_separator(as_keeper):
    paste(as_keeper, "code;sire,dam\nA;,\n")
    answer = choose(as_keeper, delimiter=",")
    assert proposal_of(answer).table.headers == ("code;sire", "dam")
    assert latest().columns == {"dam": 1}


def test_columns_asks_for_the_order_of_dates_and_reads_them_so(as_keeper):
    answer = paste(as_keeper, "code,born\nA,3/5/2024\nB,4/6/2024\n")
    assert len(problems_of(answer)) == 1
    assert "“3/5/2024” (line 2) can be read day first or month first" in problems_of(answer)[0]
    answer = choose(as_keeper, date_order="month_first")
    assert not proposal_of(answer).problems
    write(as_keeper)
    assert Animal.objects.get(code="A").born_on == cast.day("2024-03-05")


def test_columns_takes_a_correction_on_the_page(as_keeper):
    paste(as_keeper, "code,x,dam\nA,,\nB,,AA\n")
    choose(as_keeper, column_1="sire")
    address = reverse("records:columns", args=[latest().pk])
    answer = as_keeper.post(address, {"text": "code,x,dam\nA,,\nB,,A\n"}, follow=True)
    assert not proposal_of(answer).problems
    assert latest().columns == {"code": 0, "sire": 1, "dam": 2}, "the meanings are kept"
    answer = as_keeper.post(address, {"text": 'code\n"A'}, follow=True)
    assert "is never closed" in words(answer)
    assert "code,x,dam" in latest().text, "what cannot be read does not replace the table"


def test_columns_keeps_a_draft_until_it_is_given_up(as_keeper):
    paste(as_keeper, THREE)
    address = reverse("records:give_up", args=[latest().pk])
    assert "Nothing of it has been written down" in words(as_keeper.get(address))
    assert "is given up" in words(as_keeper.post(address, follow=True))
    assert not ImportDraft.objects.exists()
    assert not Animal.objects.exists()


# -------------------------------------------------------------------------------- writing down


def test_write_says_what_was_written_with_links(as_keeper, keeper):
    paste(as_keeper, THREE)
    page = words(write(as_keeper))
    mira = Animal.objects.get(code="R3")
    assert "3 animals written down" in page
    assert f'href="/animals/{mira.pk}/"' in page
    assert (mira.sire.name, mira.dam.name) == ("Deneb", "Vega")
    assert (mira.dam.sex, mira.dam.born_precision) == ("F", "year")
    assert mira.recorded_by == keeper


def test_write_twice_writes_once(as_keeper):
    paste(as_keeper, THREE)
    write(as_keeper)
    assert "3 animals written down" in words(write(as_keeper))
    assert Animal.objects.count() == 3


def test_write_with_a_problem_writes_nothing_at_all(as_keeper):
    paste(as_keeper, THREE + "R4,,R9,,\n")
    answer = write(as_keeper)
    assert "Nothing was written" in words(answer)
    assert "“R9” is neither a row of this table nor a code on record" in words(answer)
    assert not Animal.objects.exists()


def test_write_looks_again_when_the_records_changed_since_the_preview(as_keeper):
    assert not proposal_of(paste(as_keeper, THREE)).problems
    cast.female("Adhara", code="R2")
    answer = write(as_keeper)
    assert "Line 4, code: The code R2 is taken already, by Adhara" in problems_of(answer)[0]
    assert Animal.objects.count() == 1


def test_write_leaves_no_strain_behind_when_the_rows_are_refused(as_keeper):
    paste(as_keeper, "code,strain,sire\nA,Midnight,Z\n")
    write(as_keeper)
    assert not Strain.objects.exists()


def test_write_by_address_alone_shows_the_draft(as_keeper):
    paste(as_keeper, THREE)
    answer = as_keeper.get(reverse("records:write", args=[latest().pk]), follow=True)
    assert "proposal" in answer.context


def test_a_written_table_cannot_be_changed_or_given_up(as_keeper):
    paste(as_keeper, THREE)
    write(as_keeper)
    for route in ("columns", "give_up"):
        answer = as_keeper.post(
            reverse(f"records:{route}", args=[latest().pk]), {"text": "code\nA\n"}, follow=True
        )
        assert "3 animals written down" in words(answer)
    assert latest().text == THREE


# ----------------------------------------------------------------------------- who may do this


def test_a_viewer_and_a_stranger_are_refused(as_viewer, stranger, as_keeper):
    paste(as_keeper, THREE)
    pk = latest().pk
    for route in ("columns", "write", "give_up"):
        address = reverse(f"records:{route}", args=[pk])
        assert as_viewer.get(address).status_code == 403
        assert as_viewer.post(address).status_code == 403
        assert stranger.get(address).status_code == 302
    assert as_viewer.post(INDEX, {"pasted": THREE}).status_code == 403
    assert ImportDraft.objects.count() == 1
    assert not Animal.objects.exists()


@pytest.mark.parametrize("pk", [0, 10**6, 10**30])
def test_a_draft_that_is_not_there_is_not_found(pk, as_keeper):
    for route in ("columns", "write", "give_up"):
        assert as_keeper.get(reverse(f"records:{route}", args=[pk])).status_code == 404


@pytest.mark.parametrize("page", ["0", "99", "x", "-1"])
def test_any_page_number_is_answered(page, as_keeper):
    paste(as_keeper, THREE)
    address = reverse("records:columns", args=[latest().pk])
    assert as_keeper.get(address, {"page": page}).status_code == 200


def _queries(client, address):
    client.get(address)  # what is kept between pages is read once
    with CaptureQueriesContext(connection) as counted:
        client.get(address)
    return len(counted)


def test_no_page_asks_more_for_more_rows(as_keeper):
    # A beginner with fewer animals is told what comes next as well.
    paste(as_keeper, "code\n" + "".join(f"B{number}\n" for number in range(15)))
    write(as_keeper)
    counts = {}
    for number in (3, 60):
        codes = [f"A{number}x{n}" for n in range(number)]
        rows = "".join(f"{code},{sire}\n" for code, sire in zip(codes, ["", *codes], strict=False))
        paste(as_keeper, "code,sire\n" + rows)
        before = _queries(as_keeper, reverse("records:columns", args=[latest().pk]))
        write(as_keeper)
        after = _queries(as_keeper, reverse("records:write", args=[latest().pk]))
        counts[number] = (before, after, _queries(as_keeper, INDEX))
    assert counts[3] == counts[60]
    assert max(counts[60]) < 20
