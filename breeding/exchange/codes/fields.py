"""Form fields for codes: pictures of them, and the parts that came before."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.datastructures import MultiValueDict

from breeding.exchange.codes.packed import MOST_LETTERS, MOST_PARTS, Part, read_part
from breeding.exchange.codes.seen import MOST_PICTURES, is_picture
from breeding.words.language import tell, tell_many

LARGEST_BYTES = 20_000_000
BETWEEN = "|"  # parts; no part holds this letter


def small(file: Any) -> bytes:
    """The bytes of one file, refused before they are read when there are too many."""
    if file.size > LARGEST_BYTES:
        raise ValidationError(
            tell(
                "This file is too large: {size} MB; at most {most} MB are read.",
                size=file.size // 1_000_000 + 1,
                most=LARGEST_BYTES // 1_000_000,
            )
        )
    return bytes(file.read())


class SeveralFiles(forms.FileInput):
    """A choice of one file or several."""

    allow_multiple_selected = True

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        return files.getlist(name) if isinstance(files, MultiValueDict) else files.get(name)


class PicturesField(forms.FileField):
    """Cleans to the bytes of each picture; on a phone it opens the camera."""

    widget = SeveralFiles(attrs={"accept": "image/*", "capture": "environment", "multiple": True})

    def clean(self, data: Any, initial: Any = None) -> list[bytes]:
        files = data if isinstance(data, (list, tuple)) else [data] if data else []
        if len(files) > MOST_PICTURES:
            raise ValidationError(
                tell(
                    "These are {number} pictures; at most {most} are read at once.",
                    number=len(files),
                    most=MOST_PICTURES,
                )
            )
        if empty := [one.name for one in files if not one.size]:
            raise ValidationError(_empty_words(empty))
        cleaned = (super(PicturesField, self).clean(one, initial) for one in files)
        found = [small(one) for one in cleaned if one]
        if not all(map(is_picture, found)):
            raise ValidationError(tell("One of these is no picture; choose it as a file instead."))
        return found


def _empty_words(names: list[str]) -> str:
    """Which of several pictures are empty files: the others need not be chosen anew in doubt."""
    return tell_many(
        "“{names}” is an empty file; choose the pictures again without it.",
        "{number} of these are empty files: {names}. Choose the pictures again without them.",
        len(names),
        names=", ".join(name[:60] for name in names),
    )


class PartsField(forms.CharField):
    """Cleans to the parts that a page sends again; what is none is left out."""

    widget = forms.HiddenInput

    def __init__(self, **kwargs: Any) -> None:
        longest = MOST_PARTS * (MOST_LETTERS + len(BETWEEN))
        super().__init__(required=False, strip=False, max_length=longest, **kwargs)

    def clean(self, value: Any) -> list[Part]:
        texts = str(super().clean(value) or "").split(BETWEEN)
        return [part for one in texts if (part := read_part(one))]
