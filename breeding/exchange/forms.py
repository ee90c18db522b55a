"""Forms of exchange: what is given of an ancestry, a file that is taken, files that are checked."""

import base64
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.animals.typed.choosing import AnimalChoice
from breeding.exchange.ancestry import Refused, Word
from breeding.exchange.ancestry.claims import code_of
from breeding.exchange.codes.fields import BETWEEN, PartsField, PicturesField, small
from breeding.exchange.codes.packed import Gathered, Part, content_of
from breeding.exchange.codes.seen import is_picture, wholes_in
from breeding.exchange.files import Checked, checked_of, read_given, read_keys
from breeding.exchange.giving import MOST_GENERATIONS
from breeding.exchange.models import SaidOne, TakenAncestry
from breeding.exchange.updates import Update
from breeding.program.generics import ModelForm
from breeding.program.typed.numbers import TypedWhole
from breeding.sheets.sealing.key_words import KeyWord, is_key_file
from breeding.words.language import tell

MOST_CHECKED = 2  # files side by side


class GiveForm(forms.Form):
    """How much of an ancestry is given away."""

    generations = TypedWhole(
        min_value=0,
        max_value=MOST_GENERATIONS,
        initial=5,
        label=_("Generations of ancestors"),
        help_text=_("None: the animal alone. The more, the more kinship another program sees."),
    )
    with_names = forms.BooleanField(required=False, label=_("With call names"))
    with_spots = forms.BooleanField(
        required=False, initial=True, label=_("With the spots of its pictures")
    )
    with_sizes = forms.BooleanField(required=False, label=_("With measurements"))
    with_deaths = forms.BooleanField(required=False, label=_("With days of death"))
    with_young = forms.BooleanField(required=False, label=_("With its young on record"))


class SmallFileField(forms.FileField):
    """Cleans to the bytes of a file, refused before they are read when there are too many."""

    def clean(self, data: Any, initial: Any = None) -> bytes | None:
        file = super().clean(data, initial)
        return small(file) if file else None


class TakeForm(forms.Form):
    """A file somebody gave, or pictures of its codes: looked over first, and then taken.

    before: the parts of codes that came earlier. waiting: those that are there now, while others
    are missing.
    """

    file = SmallFileField(
        required=False,
        label=_("File"),
        help_text=_("A signed ancestry, a parentage sheet (PDF), or what is said of keys."),
    )
    pictures = PicturesField(
        required=False,
        label=_("Or photograph the code"),
        help_text=_("Several codes: all in one picture or one after the other, in any order."),
    )
    content = forms.CharField(required=False, widget=forms.HiddenInput(), strip=False)

    word: Word | None = None
    keys: tuple[KeyWord, ...] = ()
    raw: bytes = b""
    waiting: Gathered | None = None

    def __init__(self, *args: Any, before: Sequence[Part] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._before = before

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        content, pictures = cleaned.get("file"), list(cleaned.get("pictures") or ())
        name = "pictures" if pictures else "file"
        if content and is_picture(content):
            content, pictures = None, [*pictures, content]
        try:
            if pictures:
                content = self._of_pictures(pictures)
            elif not content:
                content = _sent_again(cleaned.get("content", ""))
            if content:
                self._read(content)
            elif not self.waiting:
                self.add_error("file", tell("Choose the file that you were given."))
        except ValueError as problem:
            self.add_error(name, str(problem))
        return cleaned

    def _of_pictures(self, pictures: list[bytes]) -> bytes | None:
        """The file that codes hold; None while some are missing. Raises Refused."""
        found = wholes_in(pictures, self._before)
        if len(found) > 1:
            raise Refused(
                tell("These codes are of different files. Take one file after the other.")
            )
        if found[0].missing:
            self.waiting = found[0]
            return None
        return content_of(found[0])

    def _read(self, content: bytes) -> None:
        self.raw = content
        if is_key_file(content):
            self.keys = read_keys(content)
        else:
            self.word = read_given(content)


def _sent_again(text: str) -> bytes:
    """The file as the page that was looked over sends it again."""
    try:
        return base64.b64decode(text, validate=True)
    except ValueError:
        return b""


class TakeKeysForm(forms.Form):
    """What a file says of keys is kept; nothing is asked."""


class WhoIsForm(forms.Form):
    """Which animals of one's own those of a file are, where the program cannot know.

    updates: what the file says became of animals on record, each to be chosen.
    """

    def __init__(
        self,
        *args: Any,
        word: Word | None = None,
        unknown: Sequence[str] = (),
        updates: Sequence[Update] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields_of: dict[str, str] = {}
        for number, one in enumerate(one for one in (word.about if word else ()) if one in unknown):
            name = f"is_{number}"
            self.fields_of[name] = one
            self.fields[name] = AnimalChoice(
                queryset=Animal.objects.order_by("call_name", "code"),
                required=False,
                label=tell("{code} is on record here as", code=code_of(one)),
                help_text=tell("Empty: it is not on record yet."),
            )
        if updates:
            self.fields["updates"] = forms.MultipleChoiceField(
                choices=[(one.mark, one.words) for one in updates],
                required=False,
                widget=forms.CheckboxSelectMultiple,
                label=tell("What became of animals on record"),
                help_text=tell("What you tick is written down with the file, and goes with it."),
            )

    def told(self) -> dict[str, Animal]:
        """Who each identity is, as the keeper says."""
        return {
            one: found
            for name, one in self.fields_of.items()
            if (found := self.cleaned_data.get(name)) is not None
        }


class CheckForm(forms.Form):
    """One file to check, or two to see how near kin their animals are; or pictures of codes.

    waiting: parts of codes that are there while others are missing; the page sends them again.
    """

    first = SmallFileField(
        required=False, label=_("File"), help_text=_("A parentage sheet (PDF) or an ancestry.")
    )
    second = SmallFileField(
        required=False,
        label=_("A second file"),
        help_text=_("To see the expected inbreeding of young of the two."),
    )
    pictures = PicturesField(
        required=False,
        label=_("Or photograph the code"),
        help_text=_("Several codes: all in one picture or one after the other, in any order."),
    )
    parts = PartsField()

    contents: Sequence[bytes] = ()
    waiting: Sequence[Gathered] = ()

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        files = [one for name in ("first", "second") if (one := cleaned.get(name))]
        pictures = [*filter(is_picture, files), *(cleaned.get("pictures") or ())]
        plain = [one for one in files if not is_picture(one)]
        try:
            found = wholes_in(pictures, cleaned.get("parts") or ()) if pictures else []
            whole = [content_of(one) for one in found if not one.missing]
        except ValueError as problem:
            self.add_error("pictures" if cleaned.get("pictures") else "first", str(problem))
            return cleaned
        self.waiting = [one for one in found if one.missing]
        self.contents = [*plain, *whole][:MOST_CHECKED]
        if not (self.contents or self.waiting):
            self.add_error("first", tell("Choose the file that you were given."))
        return cleaned

    @property
    def sent_again(self) -> str:
        """The parts that are there, for the next picture."""
        return BETWEEN.join(text for one in self.waiting for text in one.texts)

    def checked(self, *, is_stranger: bool) -> list[Checked]:
        """What each file says of itself."""
        return [checked_of(content, is_stranger=is_stranger) for content in self.contents]


class TakenChangeForm(ModelForm):
    """The note beside an ancestry that was taken."""

    class Meta:
        model = TakenAncestry
        fields = ["note"]


class ProveForm(forms.Form):
    """A signed file whose spots a picture is held against."""

    file = SmallFileField(
        label=_("File"), help_text=_("A parentage sheet (PDF) or an ancestry that carries spots.")
    )


class SayOneForm(forms.Form):
    """Two animals on record that are one."""

    kept = AnimalChoice(
        queryset=Animal.objects.order_by("call_name", "code"), label=_("This animal")
    )
    gone = AnimalChoice(
        queryset=Animal.objects.order_by("call_name", "code"),
        label=_("and this one are the same"),
        help_text=_("Its young, its names and its parents go to the first; it counts no more."),
    )
    reason = forms.CharField(max_length=200, label=_("How you know"))


class SaidOneChangeForm(ModelForm):
    """How a keeper knows that two are one."""

    class Meta:
        model = SaidOne
        fields = ["reason"]
