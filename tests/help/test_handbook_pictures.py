"""Each picture of the handbook is there, is small, and shows its page as that still is."""

import hashlib
from functools import cache

import pytest
from django.conf import settings
from django.test import Client, override_settings

from benchmarks.handbook_pages import (
    COMMAND,
    MOMENT,
    address_of,
    note_path,
    picture_path,
    words_of,
    words_seen,
)
from breeding.demo.drawn import bodies
from breeding.demo.program import load_demo
from breeding.help.chapters import CHAPTERS
from breeding.program import clock
from breeding.program.models import Person
from breeding.words.language import tell

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("what pages say, whichever database answers"),
]
LANGUAGES = [language for language, _ in settings.LANGUAGES]
PICTURES = [(one, language) for one in CHAPTERS if one.picture_of for language in LANGUAGES]
MOST_BYTES, MOST_BYTES_OF_ALL = 60_000, 1_000_000


@pytest.fixture(scope="module")
def as_owner_of_the_demo(kept_for_the_file, tmp_path_factory):
    """The invented program on the day of the pictures; its portraits are drawn quickly."""
    looks = bodies.founder_looks("motoro", 1)
    drawing = bodies.draw(looks, sex="female", side_px=64)
    with (
        pytest.MonkeyPatch.context() as patch,
        override_settings(MEDIA_ROOT=tmp_path_factory.mktemp("files")),
    ):
        patch.setattr(clock, "now", lambda: MOMENT)
        patch.setattr(bodies.Family, "portrait", lambda self, name, sex: drawing)
        load_demo(MOMENT.date())
        client = Client()
        client.force_login(Person.objects.get(username="jo"))
        yield client


def test_every_picture_is_there_and_all_are_small_together():
    sizes = [picture_path(one, language).stat().st_size for one, language in PICTURES]
    assert len(sizes) >= 2 * 11
    assert max(sizes) < MOST_BYTES
    assert sum(sizes) < MOST_BYTES_OF_ALL


def test_no_picture_lies_there_that_no_chapter_shows():
    meant = {picture_path(one, language) for one, language in PICTURES}
    place = next(iter(meant)).parent.parent
    assert set(place.rglob("*.webp")) == meant
    assert set(place.rglob("*.txt")) == {note_path(one, language) for one, language in PICTURES}


def test_the_words_beside_each_picture_are_of_this_picture():
    for one, language in PICTURES:
        picture, note = picture_path(one, language), note_path(one, language)
        first_line = note.read_text("utf-8").partition("\n")[0]
        assert first_line == hashlib.sha256(picture.read_bytes()).hexdigest(), (note, COMMAND)


def test_every_picture_says_in_words_what_it_shows():
    for one, _ in PICTURES:
        assert len(tell(one.shows)) > 40, one.key


def test_no_picture_is_stale(as_owner_of_the_demo):
    """What a picture shows, up to the last words on it, still stands so at the top of its page."""
    stale = []
    for one, language in PICTURES:

        @cache
        def read(address, language=language):
            answer = as_owner_of_the_demo.get(address, headers={"accept-language": language})
            return answer.content.decode()

        seen = note_path(one, language).read_text("utf-8").partition("\n")[2].strip()
        page = words_of(read(address_of(one.picture_of, read)))
        if not page.startswith(seen):
            pairs = enumerate(zip(page, seen, strict=False))
            same = next((place for place, (a, b) in pairs if a != b), len(page))
            was, now = seen[same : same + 40], page[same : same + 40]
            stale.append(f"{language}/{one.key}: …{was}… is now …{now}…")
    assert stale == [], "\n".join([f"Run {COMMAND}; pages have changed:", *stale])


def test_a_page_that_changed_makes_its_picture_stale():
    before = words_of("<main><p>4 things, 1 of them pressing</p><p>Mira</p></main>")
    seen = words_seen(before, ["4 things, 1 of them pressing"])
    after = words_of("<main><p>5 things, 1 of them pressing</p><p>Mira</p></main>")
    assert before.startswith(seen)
    assert not after.startswith(seen)
