"""Whatever is typed into any field of any form, it is taken clean or refused in words."""

import inspect
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

import pytest
from django import forms
from django.core.exceptions import NON_FIELD_ERRORS
from django.db import transaction
from django.test import Client
from django.utils.datastructures import MultiValueDict

from breeding.animals.models import Profile
from breeding.pairings.models import SignKind
from breeding.program.typed.numbers import Typed
from tests.everything import everything
from tests.forms import Build, below, form_classes, forms_as_built, sound_values
from tests.hostile import HOSTILE, HOSTILE_FILES, SHARP, first_of_each_shape, forms_on
from tests.routes import ROUTES, address, leading

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("a form cleans what was typed before any query"),
]
FORMS = form_classes()
KEYS = range(1, 8)
DJANGOS_WORDS = {
    str(words)
    for kind in below(forms.Field)
    if kind.__module__.startswith("django.")
    for words in kind.default_error_messages.values()
}


@pytest.fixture(scope="module")
def as_built(kept_for_the_file):
    """How the pages build each form: every page is read, and each of its forms is sent."""
    client = Client(raise_request_exception=False)
    client.force_login(everything())
    with pytest.MonkeyPatch.context() as patch, forms_as_built() as built:
        patch.setattr("breeding.planning.ahead.runs.run_beside", lambda asked: None)
        patch.setattr("django.test.client.store_rendered_templates", lambda *a, **k: None)
        # What comes with the tool has other keys after a test that emptied the database.
        own = [model.objects.earliest("pk").pk for model in (Profile, SignKind)]
        for route, parts in ROUTES:
            for token in leading(parts) or ("x",):
                keys = (*KEYS, *own) if parts else (1,)
                any(_visit(client, address(route, parts, key, token)) for key in keys)
    found = defaultdict(list)
    for (kind, _), build in built.items():
        found[kind].append(build)
    return found


def _visit(client: Client, where: str) -> bool:
    """Reads a page and sends its forms; whether there is such a page."""
    with transaction.atomic():
        page = client.get(where)
        told = "" if page.streaming else page.content.decode(errors="replace")
        page.close()
        forms = forms_on(told, where) if page.status_code == 200 else []
        sent = [
            client.post(target, good).status_code
            for target, _, good in forms or [(where, "", {})]
            if not target.endswith("/sign-out/")
        ]
        transaction.set_rollback(True)
    return page.status_code != 404 and sent != [404]


@pytest.mark.parametrize("kind", FORMS, ids=[f"{one.__module__}.{one.__name__}" for one in FORMS])
def test_hostile_values_are_taken_clean_or_refused_in_words(as_built, kind):
    """Every field is given every value, all fields a hostile one at once, then one field alone."""
    faults = []
    for build in ways_to_build(as_built, kind):
        sound, files = sound_values(build())
        for sent in (*all_hostile(sound), *one_hostile(sound)):
            faults += faults_of(build(sent, files), sent, sound)
        for name in files:
            for hostile in HOSTILE_FILES:
                sent = {name: hostile().name}
                faults += faults_of(build(sound, MultiValueDict({name: [hostile()]})), sent, {})
    assert faults == [], "\n".join(["", *faults[:20]])


@pytest.mark.parametrize("kind", FORMS, ids=[f"{one.__module__}.{one.__name__}" for one in FORMS])
def test_numbers_are_typed_as_text_and_read_by_the_house(as_built, kind):
    """A browser drops from `type=number` what it does not read itself: 10,5 arrived as 105."""
    found = []
    for build in ways_to_build(as_built, kind):
        form = build()
        found += [name for name in form.fields if 'type="number"' in str(form[name])]
        found += [
            name
            for name, field in form.fields.items()
            if isinstance(field, forms.IntegerField | forms.FloatField)
            and not isinstance(field, Typed)
        ]
    assert found == []


def ways_to_build(as_built: Mapping[type, list[Build]], kind: type[forms.BaseForm]) -> list[Build]:
    """As the pages build it; a form that asks for nothing is built bare.

    Forms that are made from it and built by a page are tried as what they are.
    """
    found = [build for one, ways in as_built.items() if issubclass(one, kind) for build in ways]
    needed = [
        one
        for one in inspect.signature(kind).parameters.values()
        if one.kind is one.KEYWORD_ONLY and one.default is one.empty
    ]
    assert found or not needed, f"no page of `everything()` builds a {kind}"
    return as_built.get(kind) or ([] if found else [kind])


def all_hostile(sound: MultiValueDict) -> Iterator[MultiValueDict]:
    """As many as there are values: in each, every field has another one of them."""
    for start in range(len(HOSTILE)):
        yield MultiValueDict(
            {name: [HOSTILE[(start + place) % len(HOSTILE)]] for place, name in enumerate(sound)}
        )


def one_hostile(sound: MultiValueDict) -> Iterator[MultiValueDict]:
    """All in order but one; also one that is not sent at all, and one that is sent twice.

    Of fields that repeat the first: `all_hostile` gives each of the others every value.
    """
    for name in first_of_each_shape(sound):
        for values in ([], [sound[name], "9" * 30], *([one] for one in SHARP)):
            sent = sound.copy()
            sent.setlist(name, values)
            yield sent


def faults_of(form: forms.BaseForm, sent: Mapping[str, Any], sound: Mapping[str, Any]) -> list[str]:
    """What is wrong with how a form answers; nothing when all is well."""
    told = f"{type(form).__name__} with {_differs(sent, sound)}"
    try:
        is_valid = form.is_valid()
        found = [*(_unclean if is_valid else _unspoken)(form)]
        if is_valid:
            _read_all(form)
    except Exception as problem:
        return [f"{told}: raises {problem!r:.200}"]
    return [f"{told}: {one}" for one in found]


def _differs(sent: Mapping[str, Any], sound: Mapping[str, Any]) -> str:
    other = {name: str(value)[:30] for name, value in sent.items() if sound.get(name) != value}
    return str(dict(list(other.items())[:3]) or "a value left out")


def _unclean(form: forms.BaseForm) -> Iterator[str]:
    """Values that were taken although no database and no reckoning can hold them."""
    for name in form.fields:
        if name not in form.cleaned_data:
            yield f"taken, and “{name}” has no clean value"
    for name, value in form.cleaned_data.items():
        for one in value if isinstance(value, list | tuple | set) else [value]:
            if isinstance(one, str) and "\x00" in one:
                yield f"“{name}” is taken with a null in it"
            if isinstance(one, float | Decimal) and not math.isfinite(one):
                yield f"“{name}” is taken as {one}"


def _read_all(form: forms.BaseForm) -> None:
    """What a form makes of its clean values, it makes without breaking: its own properties."""
    for kind in type(form).__mro__:
        if kind.__module__.startswith("breeding."):
            for name, part in vars(kind).items():
                if isinstance(part, property):
                    getattr(form, name)


def _unspoken(form: forms.BaseForm) -> Iterator[str]:
    """Refusals that do not name the field; those in words of our own are at least sentences."""
    for name in form.errors:
        if name == NON_FIELD_ERRORS:
            errors, label, said = form.errors.as_data()[name], "", form.non_field_errors()
        else:
            errors, label, said = form[name].errors.as_data(), form[name].label, form[name].errors
        for error, words in zip(errors, map(str, said), strict=True):
            if not words.endswith((".", "?")) or len(words.split()) < 3:
                yield f"“{name}” is refused with “{words}”"
            elif words in DJANGOS_WORDS:
                yield f"“{name}” is refused in Django's words: “{words}”"
            elif error.code and name != NON_FIELD_ERRORS and str(label) not in words:
                yield f"“{words}” does not name “{label}”"
