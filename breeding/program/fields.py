"""Exact shares kept as text such as "3/4", and numbers in what browsers send."""

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from django.core.exceptions import ValidationError
from django.db import models

if TYPE_CHECKING:
    ShareText = models.CharField[Fraction | str, Fraction]
else:
    ShareText = models.CharField


class ShareField(ShareText):
    """An exact fraction from 0 to 1, stored as "numerator/denominator"."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 60)
        super().__init__(*args, **kwargs)

    def from_db_value(self, value: str | None, *_: Any) -> Fraction | None:
        return None if value is None else Fraction(value)

    def to_python(self, value: Any) -> Any:
        if value is None or isinstance(value, Fraction):
            return value
        return read_share(value)

    def get_prep_value(self, value: Any) -> str | None:
        return None if value is None else str(self.to_python(value))

    def value_to_string(self, obj: models.Model) -> str:
        return str(self.value_from_object(obj))

    def run_validators(self, value: Any) -> None:
        """The reading of the share has checked its range already."""


_PLAIN = re.compile(r"[0-9./ ]{1,40}%?")


def read_share(typed: Any) -> Fraction:
    """A share as people type it: 1/2, 0.5, 50 % or 50%.

    Raises ValidationError for anything else, and for what is not above 0 and at most 1.
    """
    text = str(typed).strip().replace(",", ".")
    if not _PLAIN.fullmatch(text):  # a power such as 1e999999999 would be worked out in full
        raise ValidationError(f"“{typed}” is not a share; write it like 1/2, 0.5 or 50 %.")
    try:
        share = Fraction(text[:-1].strip()) / 100 if text.endswith("%") else Fraction(text)
    except (ValueError, ZeroDivisionError):
        raise ValidationError(
            f"“{typed}” is not a share; write it like 1/2, 0.5 or 50 %."
        ) from None
    if not 0 < share <= 1 or len(str(share)) > 60:
        raise ValidationError(f"“{typed}” is not a share between 0 and 1 (0 to 100 %).")
    return share


def read_whole(sent: str) -> int | None:
    """A number of plain digits, as a key in an address; None for anything else.

    So many digits fit into a column; Python reads no more than some thousands.

    >>> read_whole("12"), read_whole("-1"), read_whole("9" * 19)
    (12, None, None)
    """
    return int(sent) if sent.isascii() and sent.isdigit() and len(sent) < 19 else None
