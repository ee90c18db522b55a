"""An issued sheet is checked against its signature whenever it is shown."""

import json
from pathlib import Path

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from breeding import home
from breeding.sheets import services
from breeding.sheets.models import Sheet
from breeding.sheets.standing import own_fingerprint, standing_of, withdraw_sheet
from tests import cast
from tests.sheets.test_kept_as_issued import lyra, with_portrait  # noqa: F401
from tests.sheets.test_seal import changed, places

pytestmark = pytest.mark.django_db
ON = cast.day("2026-11-25")


@pytest.fixture
def issued(lyra, owner):  # noqa: F811
    return services.issue_sheet(lyra, by=owner, on=ON)


def again(sheet):
    return Sheet.objects.get(pk=sheet.pk)


def tampered(sheet, **columns):
    Sheet.objects.filter(pk=sheet.pk).update(**columns)
    return standing_of(again(sheet))


def test_a_sheet_as_issued_stands(issued):
    standing = standing_of(again(issued))
    assert standing.is_good
    assert standing.is_own_key
    assert standing.fingerprint == own_fingerprint()


def test_every_single_fact_in_the_database_is_covered(issued):
    """Each of them in turn is changed in the column, found out, and put back."""
    facts = issued.facts
    unnoticed = []
    for path in places(facts):
        altered = json.loads(json.dumps(facts))
        inner = altered
        for step in path[:-1]:
            inner = inner[step]
        inner[path[-1]] = changed(inner[path[-1]])
        sheet = again(issued)
        sheet.facts = altered
        if standing_of(sheet).is_unaltered:
            unnoticed.append(path)
    assert len(list(places(facts))) > 50
    assert unnoticed == []


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("tree_svg", "<svg/>"),
        ("paper", "us-letter"),
        ("number", "2026-900"),
        ("issued_on", "2026-11-24"),
        ("file_frame_sha256", "0" * 64),
        ("signature", "0" * 128),
        ("public_key", "0" * 64),
    ],
)
def test_a_changed_column_is_found(issued, column, value):
    standing = tampered(issued, **{column: value})
    assert standing.is_signed
    assert not standing.is_unaltered
    assert not standing.is_good


def test_a_changed_picture_is_found(issued):
    kept = issued.pictures.get(role="dam")
    content = Path(kept.picture.path).read_bytes()
    Path(kept.picture.path).write_bytes(content[:-1] + bytes([content[-1] ^ 1]))
    assert not standing_of(again(issued)).is_unaltered


def test_a_picture_taken_away_is_found(issued):
    issued.pictures.get(role="dam").delete()
    assert not standing_of(again(issued)).is_unaltered


def test_a_changed_or_lost_file_is_found(issued):
    file = Path(issued.file.path)
    content = file.read_bytes()
    file.write_bytes(content.replace(b"%%EOF", b"%%EOG"))
    assert not standing_of(again(issued)).is_unaltered
    file.unlink()
    assert not standing_of(again(issued)).is_unaltered


def test_a_file_of_another_signed_sheet_in_its_place_is_found(issued, lyra, owner):  # noqa: F811
    other = services.issue_sheet(lyra, by=owner, on=ON)
    Path(issued.file.path).write_bytes(Path(other.file.path).read_bytes())
    assert not standing_of(again(issued)).is_unaltered


def test_a_sheet_from_before_there_were_keys_is_not_signed(issued, stranger):
    Sheet.objects.filter(pk=issued.pk).update(signature="", public_key="", file_frame_sha256="")
    standing = standing_of(again(issued))
    assert not standing.is_signed
    assert not standing.is_unaltered
    said = stranger.get(f"/sheets/s/{issued.links.get().token}/").content.decode()
    assert "Not signed." in said
    assert "issued before sheets were signed" in said


def test_an_earlier_key_still_stands_and_is_said_to_be_earlier(issued, settings, tmp_path):
    settings.HOME = tmp_path
    home.sheet_key(tmp_path, make=True)
    standing = standing_of(again(issued))
    assert standing.is_unaltered
    assert not standing.is_own_key


def test_a_sheet_is_withdrawn_once_and_with_a_reason(issued, owner):
    with pytest.raises(ValidationError, match="Say why"):
        withdraw_sheet(issued, by=owner, on=ON, reason="  ")
    withdraw_sheet(issued, by=owner, on=ON, reason="wrong dam")
    standing = standing_of(again(issued))
    assert standing.withdrawn_on == ON
    assert standing.is_unaltered
    assert not standing.is_good
    with pytest.raises(ValidationError, match="withdrawn already"):
        withdraw_sheet(issued, by=owner, on=ON, reason="again")


def test_a_correction_names_the_sheet_it_replaces_and_signs_that(issued, lyra, owner):  # noqa: F811
    later = services.issue_sheet(lyra, by=owner, on=ON, corrects=issued)
    assert later.issued_facts.corrects == issued.number
    old = standing_of(again(issued))
    assert (old.replaced_by, old.replaced_on) == (later.number, ON)
    assert standing_of(again(later)).is_good
    assert not tampered(later, corrects=None).is_unaltered


def test_a_sheet_is_corrected_once_and_its_correction_after_that(issued, lyra, owner):  # noqa: F811
    services.issue_sheet(lyra, by=owner, on=ON, corrects=issued)
    with pytest.raises(ValidationError, match=r"replaced by 2026-002; correct that one"):
        services.issue_sheet(lyra, by=owner, on=ON, corrects=issued)
    with pytest.raises(ValidationError, match="is about Lyra, not Mira"):
        services.issue_sheet(cast.female("Mira"), by=owner, on=ON, corrects=issued)


def test_the_database_refuses_a_sheet_that_corrects_itself(issued):
    with pytest.raises(IntegrityError), transaction.atomic():
        Sheet.objects.filter(pk=issued.pk).update(corrects=issued.pk)


def test_a_tree_of_other_generations_than_offered_is_refused(lyra, owner):  # noqa: F811
    with pytest.raises(ValidationError, match="A tree of 9 generations is not offered; 3 to 5 are"):
        services.issue_sheet(lyra, by=owner, on=ON, generations=9)
