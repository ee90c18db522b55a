"""What a small computer survives: hostile photographs are refused by their head, or read small."""

import subprocess
import sys
import threading
import time
import zlib
from io import BytesIO
from struct import pack

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse
from PIL import Image

from breeding.animals.models import Photograph
from breeding.animals.pictures import portraits
from breeding.animals.pictures.portraits import clean_portrait, read_picture
from breeding.pairings.models import SignKind
from breeding.program.acts.once import new_token
from tests import cast
from tests.everything import picture

MOST_MEGABYTES = 600  # of one picture; a computer of 2 GB has this left beside the program
MEASURE = """
import resource, sys
from pathlib import Path
from breeding.animals.pictures.portraits import read_picture
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
with open(sys.argv[1], "rb") as file:
    try:
        read_picture(file)
        said = "read"
    except ValueError as problem:
        said = str(problem)
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024, said)
"""


def chunk(kind, body):
    return pack(">I", len(body)) + kind + body + pack(">I", zlib.crc32(kind + body))


def png(width, height, *more, colour=6, channels=4):
    """A PNG of nothing but zeroes, a thousandth of what it unpacks to."""
    packer, row = zlib.compressobj(1), b"\0" * (1 + width * channels)
    body = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    head = chunk(b"IHDR", pack(">IIBBBBB", width, height, 8, colour, 0, 0, 0))
    return b"".join((b"\x89PNG\r\n\x1a\n", head, *more, chunk(b"IDAT", body), chunk(b"IEND", b"")))


def encoded(width, height, kind, **more):
    out = BytesIO()
    Image.new("RGB", (width, height), "grey").save(out, kind, **more)
    return out.getvalue()


def measured(tmp_path, content):
    """Megabytes that reading it took at most, and what was said; in a process of its own."""
    file = tmp_path / "picture"
    file.write_bytes(content)
    command = [sys.executable, "-c", MEASURE, str(file)]
    said = subprocess.run(command, capture_output=True, text=True, check=True, timeout=120)
    megabytes, _, words = said.stdout.strip().partition(" ")
    return int(megabytes), words


@pytest.mark.parametrize(
    "make",
    [
        lambda: png(5000, 4990),
        lambda: encoded(9240, 7000, "JPEG", progressive=True, subsampling=0, quality=60),
        lambda: encoded(5000, 4990, "WEBP", lossless=True, method=0),
    ],
    ids=["png", "jpeg", "webp"],
)
def test_the_largest_that_is_read_leaves_a_small_computer_its_memory(tmp_path, make):
    megabytes, words = measured(tmp_path, make())
    assert words == "read"
    assert megabytes < MOST_MEGABYTES


@pytest.mark.parametrize(
    ("make", "figures"),
    [
        (lambda: png(8900, 8900), "8900 x 8900"),
        (lambda: encoded(8900, 2900, "WEBP"), "8900 x 2900"),
        (lambda: encoded(9000, 8000, "JPEG"), "9000 x 8000"),
    ],
    ids=["png", "webp", "jpeg"],
)
def test_a_larger_one_is_refused_by_its_head_with_the_figures(tmp_path, make, figures):
    megabytes, words = measured(tmp_path, make())
    assert f"too many pixels: {figures}. At most 65 million" in words
    assert megabytes < 80


def test_text_that_unpacks_to_much_more_is_refused(tmp_path):
    text = chunk(b"zTXt", b"comment\0\0" + zlib.compress(b"\0" * 1_000_000))
    megabytes, words = measured(tmp_path, png(100, 100, *[text] * 2000))
    assert "not a picture that can be read" in words
    assert megabytes < 200


def test_a_colour_profile_that_unpacks_to_much_more_is_not_unpacked(tmp_path):
    packer = zlib.compressobj(9)
    body = b"".join(packer.compress(bytes(1_000_000)) for _ in range(150)) + packer.flush()
    profile = chunk(b"iCCP", b"profile\0\0" + body)
    megabytes, _ = measured(tmp_path, png(100, 100, profile))
    assert megabytes < 100


def test_a_jpeg_of_a_thousand_steps_is_refused():
    content = encoded(64, 64, "JPEG", progressive=True)
    begin = content.rindex(b"\xff\xda")
    many = content[:begin] + content[begin:-2] * 1000 + content[-2:]
    with pytest.raises(ValueError, match="built up in 1009 steps; at most 100"):
        clean_portrait(BytesIO(many))


def test_of_an_animation_only_the_first_picture_is_unpacked(tmp_path):
    frames = [Image.new("RGB", (1000, 1000), (number, 0, 0)) for number in range(60)]
    out = BytesIO()
    frames[0].save(out, "WEBP", save_all=True, append_images=frames[1:], lossless=True, method=0)
    megabytes, words = measured(tmp_path, out.getvalue())
    assert words == "read"
    assert megabytes < 100


def test_one_picture_is_read_at_a_time(monkeypatch):
    at_work, most = [], []

    def slowly(file, **more):
        at_work.append(1)
        most.append(len(at_work))
        time.sleep(0.05)
        at_work.pop()
        return portraits.CleanPicture(picture().getvalue(), 90, 70)

    monkeypatch.setattr(portraits, "clean_portrait", slowly)
    threads = [threading.Thread(target=read_picture, args=(BytesIO(),)) for _ in range(6)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert most == [1] * 6


def test_who_waits_too_long_for_others_is_told_so(monkeypatch):
    monkeypatch.setattr(portraits, "LONGEST_WAIT_SECONDS", 0.05)
    with portraits._ones_turn(), pytest.raises(ValueError, match="Send it once more"):
        read_picture(picture())
    assert read_picture(picture()).clean.width == 90


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("route", ["animals:photograph", "pairings:log"])
def test_it_is_read_before_the_act_begins(owner, monkeypatch, route):
    read, where = portraits.clean_portrait, []

    def watched(file, **more):
        where.append(connection.in_atomic_block)
        return read(file, **more)

    monkeypatch.setattr(portraits, "clean_portrait", watched)
    mira, client = cast.female("Mira"), Client()
    client.force_login(owner)
    file = SimpleUploadedFile("mira.jpg", picture().getvalue(), "image/jpeg")
    kind = SignKind.objects.get(key="copulation")
    if route == "animals:photograph":
        address, form = reverse(route, args=[mira.pk]), {"file": file}
    else:
        address, form = "/pairings/log/", {"female": mira.pk, "kind": kind.pk, "photograph": file}
    assert client.post(address, {"once": new_token(owner), **form}).status_code == 302
    assert where == [False]
    assert Photograph.objects.count() == 1
    with transaction.atomic():  # that it would be noticed
        watched(picture())
    assert where == [False, True]
