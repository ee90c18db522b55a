"""An ancestry as codes: packed to the byte, read from pictures, taken in any order."""

import base64
import zlib
from io import BytesIO, StringIO
from pathlib import Path

import pytest
import segno
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as some
from PIL import Image, ImageFilter

from breeding.animals.models import Animal
from breeding.exchange.ancestry import Claim, Refused, read_word
from breeding.exchange.ancestry.reading import MOST_BYTES
from breeding.exchange.codes import packed
from breeding.exchange.codes.packed import (
    MOST_LETTERS,
    Part,
    TooMuchForCodes,
    base45,
    content_of,
    from_base45,
    gathered,
    parts_of,
    read_part,
)
from breeding.exchange.codes.seen import texts_in
from breeding.exchange.models import TakenAncestry
from breeding.sheets.sealing.seal import unpacked
from tests import cast
from tests.exchange.given import given_file, theirs

pytestmark = pytest.mark.django_db

TAKE = "exchange:take"


@pytest.fixture(autouse=True)
def _own_home(settings, tmp_path):
    settings.HOME = tmp_path


def many(number: int) -> bytes:
    """K3 and so many young of it, whose codes say nothing of each other."""
    young = (
        Claim(
            theirs(base64.b32encode(zlib.crc32(b"%d" % n).to_bytes(4)).decode()), dam=theirs("K3")
        )
        for n in range(number)
    )
    return given_file(*young)


def picture(*texts: str, turned: int = 0, kind: str = "PNG", blurred: float = 0) -> bytes:
    """A photograph of codes beside each other on a table."""
    table = Image.new("RGB", (900 * len(texts) + 100, 1000), (150, 130, 110))
    for place, text in enumerate(texts):
        drawn = BytesIO()
        segno.make(text, error="m", micro=False, boost_error=False).save(drawn, "png", scale=5)
        code = Image.open(drawn).convert("RGB").resize((800, 800))
        table.paste(code, (900 * place + 100, 100))
    if turned:
        table = table.rotate(turned, Image.Resampling.BICUBIC, expand=True, fillcolor=(90, 90, 90))
    if blurred:
        table = table.filter(ImageFilter.GaussianBlur(blurred))
    kept = BytesIO()
    table.save(kept, kind)
    return kept.getvalue()


def upload(*contents: bytes) -> list[SimpleUploadedFile]:
    return [SimpleUploadedFile("code.png", one, "image/png") for one in contents]


def texts(content: bytes) -> list[str]:
    return [one.text for one in parts_of(content)]


@given(some.binary(max_size=80))
def test_base45_comes_back(content):
    assert from_base45(base45(content)) == content


@pytest.mark.parametrize(
    ("content", "letters"), [(b"AB", "BB8"), (b"base-45", "UJCLQE7W581"), (b"ietf!", "QED8WEX0")]
)
def test_base45_is_that_of_its_standard(content, letters):
    """The examples of RFC 9285, section 4.3 and 4.4."""
    assert base45(content) == letters
    assert from_base45(letters) == content


@pytest.mark.parametrize("letters", ["GGW", ":::", "A", "AAAA", "ZZ"])
def test_letters_that_no_bytes_are_written_as(letters):
    """RFC 9285 names GGW (65536) as one that must be refused."""
    with pytest.raises(ValueError, match="no base45"):
        from_base45(letters)


@pytest.mark.parametrize("number", [0, 40, 300])
def test_a_file_comes_back_to_the_byte_in_any_order(number):
    content = many(number)
    parts = parts_of(content)
    assert all(len(one.text) <= MOST_LETTERS for one in parts)
    assert len(parts) == {0: 1, 40: 1, 300: 4}[number]
    again = [read_part(one.text) for one in reversed(parts)] * 2
    assert content_of(gathered(again)[0]) == content


def test_what_nobody_would_photograph_is_refused_with_the_number_of_codes():
    with pytest.raises(TooMuchForCodes, match=r"it would be \d\d; at most 12"):
        parts_of(many(1800))


def test_a_missing_part_is_named():
    parts = parts_of(many(300))
    found = gathered(parts[:1] + parts[2:3])[0]
    assert found.missing == [2, 4]
    with pytest.raises(Refused, match=r"2 of 4 codes are read\. Still missing: 2 and 4"):
        content_of(found)


def test_two_codes_that_say_they_are_the_same_part():
    one, other = parts_of(many(0))[0], parts_of(many(1))[0]
    forged = Part(one.number, one.of, one.whole, other.letters)
    with pytest.raises(Refused, match="part 1 of 1"):
        gathered([one, forged])


def test_a_damaged_code_is_refused():
    one = parts_of(many(0))[0]
    bad = Part(1, 1, one.whole, one.letters[:-3] + "000")
    with pytest.raises(Refused, match="damaged"):
        content_of(gathered([bad])[0])


def whole_of(stream: bytes) -> Part:
    """What a forger makes: a fingerprint that fits, and anything inside."""
    whole = bytes(96) + stream
    return Part(1, 1, packed._fingerprint(whole), base45(whole))


def test_a_code_that_swells_without_end_is_cut_off():
    pressed = zlib.compressobj(9, zlib.DEFLATED, -15)
    swollen = pressed.compress(bytes(20 * MOST_BYTES)) + pressed.flush()
    assert len(swollen) < 90_000
    for stream in (swollen, swollen[:400], b"", b"\xff" * 50):
        with pytest.raises(Refused, match="damaged"):
            content_of(gathered([whole_of(stream)])[0])


def test_a_code_made_by_another_is_not_believed():
    """Its codes are whole; the signature inside is not of this document."""
    content = given_file()
    _, seal = unpacked(content)
    other = content.replace(b"2024-05-11", b"2023-05-11")
    assert unpacked(other)[1] == seal
    with pytest.raises(Refused, match="altered"):
        read_word(content_of(gathered(parts_of(other))[0]))


@pytest.mark.parametrize("turned", [0, 17, 90, 180])
def test_a_code_is_read_from_a_photograph(turned):
    text = texts(many(40))[0]
    assert texts_in(picture(text, turned=turned, kind="JPEG", blurred=1.2)) == [text]


def test_codes_are_photographed_one_after_the_other_and_taken_like_the_file(as_keeper):
    content = many(300)
    one, two, three, four = texts(content)
    address = reverse(TAKE)
    page = cast.words(
        as_keeper.post(address, {"pictures": upload(picture(three, one))}, follow=True)
    )
    assert "2 of 4 codes are read. Still missing: 2 and 4." in page
    page = cast.words(as_keeper.post(address, {"pictures": upload(picture(one))}, follow=True))
    assert "2 of 4 codes are read" in page
    assert not TakenAncestry.objects.exists()
    sent = {"pictures": upload(picture(four), picture(two))}
    page = as_keeper.post(address, sent)
    assert "303 animals would be new" in cast.words(page)
    assert "exchange" not in "".join(as_keeper.session.keys())
    assert base64.b64encode(content).decode() in page.content.decode()
    assert "codes_taken" not in as_keeper.session


def test_a_code_is_taken_into_the_records(as_keeper):
    page = as_keeper.post(
        reverse(TAKE), {"file": upload(picture(texts(given_file())[0], turned=90))[0]}
    )
    content = page.context["content"]
    as_keeper.post(reverse(TAKE), {"content": content, "take": "1"})
    assert TakenAncestry.objects.get().content == given_file()
    assert Animal.objects.count() == 3


def test_codes_of_two_files_are_not_mixed_and_one_can_begin_anew(as_keeper):
    address = reverse(TAKE)
    first = texts(many(300))
    as_keeper.post(address, {"pictures": upload(picture(first[0]))})
    other = {"pictures": upload(picture(texts(given_file())[0]))}
    page = cast.words(as_keeper.post(address, other))
    assert "These codes are of different files" in page
    assert "1 of 4 codes are read" in page
    as_keeper.post(address, {"anew": "1"})
    other = {"pictures": upload(picture(texts(given_file())[0]))}
    assert "3 animals would be new" in cast.words(as_keeper.post(address, other))


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        (picture("https://rays.example/s/abc"), "save the PDF there and choose that file"),
        (picture("animal:12"), "not of an ancestry: it says “animal:12”"),
        (picture(), "No code can be read in this picture"),
        (b"\xff\xd8\xffno picture at all", "not a picture that can be read"),
        (b"plain text", "no picture; choose it as a file"),
    ],
)
def test_other_pictures_are_refused_in_words(as_keeper, sent, said):
    page = cast.words(as_keeper.post(reverse(TAKE), {"pictures": upload(sent)}))
    assert said in page


def test_too_many_pictures_at_once(as_keeper):
    page = as_keeper.post(reverse(TAKE), {"pictures": upload(*[b"\x89PNG\r\n"] * 25)})
    assert "These are 25 pictures; at most 24 are read at once" in cast.words(page)


def test_of_several_pictures_the_empty_one_is_named(client):
    files = [SimpleUploadedFile("first.png", picture("R1")), SimpleUploadedFile("second.png", b"")]
    page = cast.words(client.post(reverse("exchange:check"), {"pictures": files}))
    assert "“second.png” is an empty file; choose the pictures again without it." in page
    assert "first.png" not in page


def test_a_buyer_checks_a_photograph_and_nothing_is_kept(client):
    address = reverse("exchange:check")
    one, two, three, four = texts(many(300))
    page = client.post(address, {"pictures": upload(picture(one, three))})
    assert "Still missing: 2 and 4" in cast.words(page)
    assert not client.session.keys()
    parts = page.context["form"].sent_again
    page = client.post(address, {"pictures": upload(picture(four, two)), "parts": parts})
    assert "The ancestry of 303 animals" in cast.words(page)
    sent = {"first": upload(picture(texts(given_file())[0]))[0]}
    assert "The ancestry of 3 animals" in cast.words(client.post(address, sent))


def test_two_codes_in_one_picture_are_held_side_by_side(client):
    pup = Claim(theirs("K4"), sex="M", born="2024-05-11", dam=theirs("K2"))
    both = picture(texts(given_file())[0], texts(given_file(pup))[0])
    page = cast.words(client.post(reverse("exchange:check"), {"pictures": upload(both)}))
    assert "Both files are about the same animal, K3. Choose the file of another one." in page


def test_giving_shows_the_codes_that_hold_the_file(as_keeper):
    mira = cast.female("Mira")
    address = reverse("exchange:give", args=[mira.pk])
    page = as_keeper.get(address, {"generations": "3", "codes": "1"})
    ((part, drawing),) = page.context["drawn"]
    saved = as_keeper.get(address, {"generations": "3", "save": "1"})
    assert content_of(gathered([part])[0]) == saved.content
    assert drawing in page.content.decode()
    assert "Code 1 of 1" in cast.words(page)


def test_commands_read_pictures_of_codes(tmp_path):
    young = texts(many(300))
    names = []
    for number, text in enumerate([*young, texts(given_file())[0]]):
        Path(tmp_path / f"{number}.png").write_bytes(picture(text))
        names.append(str(tmp_path / f"{number}.png"))
    said = StringIO()
    call_command("kin", *names, stdout=said)
    assert (
        "Both files are about the same animal, K3. Choose the file of another one."
        in said.getvalue()
    )
    with pytest.raises(CommandError, match="1 file"):
        call_command("kin", *names[:4], stdout=said)
    with pytest.raises(CommandError, match="Still missing: 4"):
        call_command("kin", *names[:3], names[4], stdout=said)
    said = StringIO()
    with pytest.raises(CommandError) as ended:
        call_command("verify", *names[:4], stdout=said)
    assert ended.value.returncode == 3
    assert "Unaltered: the ancestry of 303 animals, by Kettle House" in said.getvalue()
    with pytest.raises(CommandError) as ended:
        call_command("verify", str(names[0]), stdout=said)
    assert ended.value.returncode == 2
