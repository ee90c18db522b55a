"""Catalogs of a room in other languages: found, put together, held in step with what is said."""

import json
import multiprocessing
from pathlib import Path

import polib
import pytest
from django.utils import translation

from breeding.program.language.catalogs import ROOMS, catalogs, languages, one_of, together
from breeding.program.language.collecting import collect, problems
from breeding.program.language.sources import FIGURES, Message, in_code, in_figures, in_template
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.words.language import tell, tell_many

ONE_CATALOG = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=UTF-8"\n\n'


def catalog(place: Path, room: str, code: str, said: dict[str, str]) -> None:
    folder = place / room / "locale"
    folder.mkdir(parents=True, exist_ok=True)
    entries = "".join(
        f"msgid {json.dumps(one)}\nmsgstr {json.dumps(other, ensure_ascii=False)}\n\n"
        for one, other in said.items()
    )
    (folder / f"{code}.po").write_text(ONE_CATALOG + entries, "utf-8")


def begin(place: Path) -> Path:
    """Rooms that say nothing yet; the file in which the lowest will."""
    (place / "fixtures").mkdir()
    for name in FIGURES:
        (place / "fixtures" / name).write_text("{}", "utf-8")
    (place / "words").mkdir()
    return place / "words" / "said.py"


def of_words(place: Path) -> list[str]:
    """What is wrong in the German of the lowest of the rooms there."""
    return [line for line in problems("de", place) if line.startswith("words/")]


def found_in(entries) -> set[tuple[str | None, str, str]]:
    return {(one.context, one.text, one.plural) for one in entries}


def test_messages_of_code_are_found_with_plural_and_meaning():
    code = 'tell("A {b}.", b=1)\ntell_many("{number} pup", "{number} pups", 2)\n_("C")\n'
    code += 'tell_as("of a tank", "Side")\nmessage_as("month", "May")\ntell(SOMETHING)\n'
    assert found_in(in_code(code)) == {
        (None, "A {b}.", ""),
        (None, "{number} pup", "{number} pups"),
        (None, "C", ""),
        ("of a tank", "Side", ""),
        ("month", "May", ""),
    }


def test_a_message_put_together_of_pieces_is_refused_with_its_line():
    with pytest.raises(ValueError, match="Line 2: a message is one whole sentence"):
        list(in_code('x = 1\ntell(f"{x} pups")\n'))


def test_messages_of_templates_are_found_where_django_looks_for_them():
    page = '{% translate "Save" %}{% include "a.html" with title=_("Foo") %}'
    page += "{% blocktranslate trimmed count number=n %}\n  {{ number }} pup\n{% plural %}\n"
    page += "  {{ number }} pups\n{% endblocktranslate %}"
    assert found_in(in_template(page)) == {
        (None, "Save", ""),
        (None, "Foo", ""),
        (None, "%(number)s pup", "%(number)s pups"),
    }


def test_sentences_among_figures_are_found_by_their_key():
    figures = {"a": {"text": "One.", "value": 3}, "list": [{"note": "Two.", "key": "dam"}]}
    assert list(in_figures(figures)) == [Message("One."), Message("Two.")]


def test_what_several_rooms_say_counts_once_in_the_lower_one(tmp_path):
    catalog(tmp_path, "animals", "de", {"Save": "Speichern", "Ray": "Rochen"})
    catalog(tmp_path, "litters", "de", {"Save": "Sichern", "Pup": "Jungtier"})
    said = {one.msgid: one.msgstr for one in one_of(catalogs(tmp_path))}
    assert said == {"Save": "Speichern", "Ray": "Rochen", "Pup": "Jungtier"}


def test_a_third_language_is_a_file(tmp_path):
    catalog(tmp_path, "words", "de", {"today": "heute"})
    catalog(tmp_path, "words", "fr", {"today": "aujourd'hui"})
    found = catalogs(tmp_path)
    assert languages(found) == [("en", "English"), ("de", "Deutsch"), ("fr", "Français")]
    place = together(found, tmp_path / "home")
    built = polib.mofile(str(place / "fr" / "LC_MESSAGES" / "django.mo"))
    assert built.find("today").msgstr == "aujourd'hui"


def _build(place: Path, results) -> None:
    results.put(str(together(catalogs(place), place / "home")))


def test_two_processes_that_begin_at_once_put_them_together_once(tmp_path, monkeypatch):
    monkeypatch.setattr(
        "breeding.program.language.catalogs.user_cache_dir", lambda _name: str(tmp_path / "cache")
    )
    catalog(tmp_path, "words", "de", {"today": "heute"})
    fork = multiprocessing.get_context("fork")
    results = fork.Queue()
    beside = [fork.Process(target=_build, args=(tmp_path, results)) for _ in range(2)]
    for one in beside:
        one.start()
    first, second = results.get(timeout=60), results.get(timeout=60)
    for one in beside:
        one.join()
    assert first == second
    assert [one.name for one in Path(first).parent.iterdir()] == [Path(first).name]


def test_collecting_keeps_what_is_translated_and_says_what_is_missing(tmp_path):
    begin(tmp_path).write_text('tell("today")\ntell("tomorrow")\n', "utf-8")
    catalog(tmp_path, "words", "de", {"today": "heute", "never": "nie"})
    assert collect(["words"], tmp_path) == {"de": 1}
    assert of_words(tmp_path) == ["words/locale/de.po: “tomorrow” is not translated"]


def test_a_translation_with_a_name_that_the_message_lacks_is_told(tmp_path):
    begin(tmp_path).write_text('tell("{animal} is here.")\n', "utf-8")
    catalog(tmp_path, "words", "de", {"{animal} is here.": "{tier} ist hier."})
    (problem,) = of_words(tmp_path)
    assert problem.endswith("has {tier}, which the message has not")


def test_a_slip_in_a_catalog_takes_no_sentence_away():
    with translation.override("de"):
        assert tell("{number} of {whole}", number=3, whole=4) == "3 von 4"
        assert tell_many("{number} day", "{number} days", 2) == "2 Tage"
        assert tell("No catalog has {this}.", this="that") == "No catalog has that."


# Rooms whose German is whole; a room is added once it is.
WHOLE_ROOMS = ("words", "gestation")


@pytest.mark.parametrize("room", WHOLE_ROOMS)
def test_the_german_of_a_room_is_whole(german_problems, room):
    assert [line for line in german_problems if line.startswith(f"{room}/")] == []


@pytest.fixture(scope="module")
def german_problems():
    return list(problems("de"))


def test_one_english_message_has_one_german():
    said: dict[tuple[str | None, str], set[str]] = {}
    for path in catalogs(ROOMS):
        if path.stem == "de":
            for entry in polib.pofile(str(path)):
                said.setdefault((entry.msgctxt, entry.msgid), set()).add(entry.msgstr)
    assert [key for key, german in said.items() if len(german) > 1] == []


@pytest.mark.django_db
def test_what_is_kept_while_nothing_changes_is_kept_for_each_language():
    def today():
        return kept_while_unchanged("how today is said", lambda: tell("today"))

    with translation.override("de"):
        assert today() == "heute"
    with translation.override("en"):
        assert today() == "today"
    with translation.override("de"):
        assert today() == "heute"
