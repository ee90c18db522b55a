"""`manage.py verify`: from the file alone, unaltered or not, and whose key it was."""

import random
import re
import zlib
from io import StringIO
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from django.core.management import CommandError, call_command
from pypdf import PdfReader, PdfWriter

from breeding import home
from breeding.animals import services as animals
from breeding.sheets import services
from breeding.sheets.pdf import render_pdf
from breeding.sheets.sealing.attachment import (
    NotASheet,
    attachment_of,
    frame_digest,
    with_attachment,
)
from breeding.sheets.sealing.check import Altered, check_file
from breeding.sheets.sealing.seal import document_of, packed, sign
from tests import cast
from tests.sheets.test_pdf import FACTS, PICTURES

pytestmark = pytest.mark.one_database("bytes and signatures of files")

KEY = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))


def sealed(facts=FACTS, key=KEY):
    def seal(file_frame):
        document = document_of(
            facts=services._as_kept(facts), tree="", pictures={}, file_frame=file_frame, paper="a4"
        )
        return packed(document, sign(document, key))

    return render_pdf(facts, PICTURES, link="https://rays.example/s/x/", seal=seal,
                      fingerprint=" ".join(["abcd"] * 8))  # fmt: skip


@pytest.fixture(scope="module")
def sheet():
    return sealed()


@pytest.fixture
def own_home(settings, tmp_path):
    settings.HOME = tmp_path / "home"
    settings.HOME.mkdir()
    return settings.HOME


def verify(file, *more):
    """Exit code and everything said."""
    out = StringIO()
    try:
        call_command("verify", str(file), *more, stdout=out)
    except CommandError as problem:
        return problem.returncode, out.getvalue() + str(problem)
    return 0, out.getvalue()


def written(tmp_path, content):
    file = tmp_path / "sheet.pdf"
    file.write_bytes(content)
    return file


# ----------------------------------------------------------------------------- the bytes of a file


def test_an_unaltered_file_gives_back_its_facts(sheet):
    found = check_file(sheet)
    assert found.facts.animal.name == "Lyra"
    assert found.facts == found.facts.from_json(FACTS.to_json()).__class__(
        **{**FACTS.__dict__, "tree": ""}
    )


def test_the_file_is_a_pdf_like_any_other_with_one_attachment(sheet, tmp_path):
    reader = PdfReader(written(tmp_path, sheet), strict=True)
    assert list(reader.attachments) == ["parentage-sheet.json"]
    assert reader.attachments["parentage-sheet.json"] == [attachment_of(sheet)]
    assert "Is this sheet as issued?" in reader.pages[-1].extract_text()


def test_no_byte_of_the_file_can_change_unnoticed(sheet):
    """Every 499th byte, and three hundred more drawn by a fixed seed, each changed by one bit."""
    drawn = random.Random(20261125)
    places = {*range(0, len(sheet), 499), *(drawn.randrange(len(sheet)) for _ in range(300))}
    for place in places:
        altered = bytearray(sheet)
        altered[place] ^= 1
        with pytest.raises((NotASheet, Altered)):
            check_file(bytes(altered))


@pytest.mark.parametrize("more", [b"\n", b"%", b"\n%%EOF", b" "])
def test_nothing_can_be_added_behind_the_file(sheet, more):
    with pytest.raises(Altered):
        check_file(sheet + more)


def test_facts_cannot_be_exchanged_between_two_signed_sheets(sheet):
    from dataclasses import replace

    other = sealed(replace(FACTS, inbreeding="25 %"))
    mixed = with_attachment(sheet, attachment_of(other))
    with pytest.raises(Altered, match="What the pages show is not what was signed"):
        check_file(mixed)


def test_one_changed_digit_in_the_attachment_is_found(sheet):
    attached = attachment_of(sheet)
    assert b"16.0 cm" in attached
    altered = with_attachment(sheet, attached.replace(b"16.0 cm", b"16.1 cm"))
    with pytest.raises(Altered, match="not the ones that were signed"):
        check_file(altered)


def test_one_changed_piece_of_a_page_is_found_though_the_facts_are_as_signed(sheet):
    """The words of a page are packed: unpack, leave out the last, and pack into the same place."""
    attached = attachment_of(sheet)
    for found in re.finditer(rb"/Filter/FlateDecode[^>]*>>\nstream\n", sheet):
        end = sheet.index(b"\nendstream", found.end())
        try:
            text = zlib.decompress(sheet[found.end() : end])
        except zlib.error:
            continue
        if b" Tf" in text and b"TJ" in text:
            break
    repacked = zlib.compress(text[: len(text) * 3 // 4], 9)
    length = end - found.end()
    assert len(repacked) <= length
    altered = sheet[: found.end()] + repacked.ljust(length, b"\x00") + sheet[end:]
    assert attachment_of(altered) == attached
    with pytest.raises(Altered, match="What the pages show"):
        check_file(altered)


def test_a_file_saved_again_by_another_program_is_not_the_file_as_issued(sheet, tmp_path):
    writer = PdfWriter(clone_from=PdfReader(written(tmp_path, sheet)))
    writer.write(tmp_path / "again.pdf")
    with pytest.raises(Altered, match=r"saved again|put together|attached"):
        check_file((tmp_path / "again.pdf").read_bytes())


def test_the_digest_of_the_frame_does_not_depend_on_what_is_attached(sheet):
    assert frame_digest(sheet) == frame_digest(with_attachment(sheet, b"anything"))
    assert attachment_of(with_attachment(sheet, b"anything")) == b"anything"


@pytest.mark.parametrize("content", [b"", b"%PDF-1.7\n", b"GIF89a", b"%PDF-1.7\n" + b"x" * 300])
def test_what_is_no_sheet_is_said_to_be_none(content):
    with pytest.raises(NotASheet):
        check_file(content)


def test_a_sheet_from_before_there_were_keys_has_nothing_attached():
    with pytest.raises(NotASheet, match="No signed facts"):
        check_file(render_pdf(FACTS, PICTURES))


# ------------------------------------------------------------------------------------ the command


@pytest.mark.django_db
def test_a_sheet_of_this_program_is_known_as_such(own_home, owner):
    young = cast.female("Lyra", sire=cast.male("Deneb"), dam=cast.female("Vega"))
    issued = services.issue_sheet(young, by=owner, on=cast.day("2026-11-25"))
    code, said = verify(issued.file.path)
    assert code == 0
    assert "Unaltered: Parentage sheet 2026-001, issued 25 November 2026" in said
    assert "by Jo, which calls itself Lantern Street Rays" in said
    assert "Lyra (female); sire Deneb, dam Vega" in said
    assert issued.seal.fingerprint in said
    assert "This is the key of this program." in said


def test_a_key_that_is_not_known_here_does_not_pass(sheet, own_home, tmp_path):
    home.sheet_key(own_home, make=True)
    code, said = verify(written(tmp_path, sheet))
    assert code == 3
    assert "not known here, and anybody can make one" in said


def test_a_file_can_be_checked_against_a_fingerprint_known_from_elsewhere(
    sheet, own_home, tmp_path
):
    file = written(tmp_path, sheet)
    print_of_key = check_file(sheet).seal.fingerprint
    assert verify(file, "--key", print_of_key)[0] == 0
    assert verify(file, "--key", print_of_key.replace(" ", "").upper())[0] == 0
    code, said = verify(file, "--key", "0000 " * 8)
    assert code == 3
    assert "not the key asked for" in said


def test_an_altered_file_fails_and_says_in_what(sheet, own_home, tmp_path):
    altered = sheet.replace(b"25 November", b"26 November").replace(b"2026-11-25", b"2026-11-26")
    assert altered != sheet
    code, said = verify(written(tmp_path, altered))
    assert code == 1
    assert said.count("ALTERED") == 1


@pytest.mark.parametrize("content", [b"", b"hello", b"%PDF-1.4\n%%EOF"])
def test_what_is_no_sheet_ends_with_two(own_home, tmp_path, content):
    assert verify(written(tmp_path, content))[0] == 2


def test_a_file_that_is_not_there_ends_with_two(own_home, tmp_path):
    code, said = verify(tmp_path / "none.pdf")
    assert code == 2
    assert "cannot be read" in said


@pytest.mark.django_db
def test_the_command_asks_the_database_nothing(
    sheet, own_home, tmp_path, django_assert_num_queries
):
    with django_assert_num_queries(0):
        assert verify(written(tmp_path, sheet))[0] == 3


# -------------------------------------------------------------------------------------- the key


def test_the_key_is_made_once_beside_the_database_for_its_owner_alone(tmp_path):
    key = home.sheet_key(tmp_path, make=True)
    file = tmp_path / home.SHEET_KEY_FILE
    assert file.stat().st_mode & 0o777 == 0o600
    again = home.sheet_key(tmp_path, make=True)
    assert again.public_key() == key.public_key()
    assert [one.name for one in tmp_path.iterdir()] == [home.SHEET_KEY_FILE]


def test_starting_makes_the_key(tmp_path):
    home.prepare(["start", "--home", str(tmp_path / "data")])
    assert home.sheet_key(tmp_path / "data") is not None


def test_looking_for_a_key_makes_none(tmp_path):
    assert home.sheet_key(tmp_path) is None
    assert not Path(tmp_path, home.SHEET_KEY_FILE).exists()


def test_a_spoilt_key_is_named_and_not_replaced(tmp_path):
    file = tmp_path / home.SHEET_KEY_FILE
    file.write_text("rust")
    with pytest.raises(ValueError, match="holds no key for signing sheets"):
        home.sheet_key(tmp_path, make=True)
    assert file.read_text() == "rust"


@pytest.mark.django_db
def test_a_sheet_is_not_issued_while_the_key_is_spoilt(own_home, owner):
    from django.core.exceptions import ValidationError

    (own_home / home.SHEET_KEY_FILE).write_text("rust")
    with pytest.raises(ValidationError, match="The sheet cannot be signed"):
        services.issue_sheet(cast.female("Lyra"), by=owner, on=cast.day("2026-11-25"))


@pytest.mark.django_db
def test_issuing_again_after_a_change_does_not_touch_the_first_file(own_home, owner):
    lyra = cast.female("Lyra")
    first = services.issue_sheet(lyra, by=owner, on=cast.day("2026-11-25"))
    animals.change_animal(lyra, call_name="Nova")
    services.issue_sheet(lyra, by=owner, on=cast.day("2026-11-25"))
    assert check_file(Path(first.file.path).read_bytes()).facts.animal.name == "Lyra"
