"""Names, exact shares kept as text such as "3/4", and numbers in what browsers send."""

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from django.db import models

from breeding.program.typed.names import plain_name, validate_name
from breeding.program.typed.reading import read_share

if TYPE_CHECKING:
    ShareText = models.CharField[Fraction | str, Fraction]
    NameText = models.CharField[str, str]
else:
    ShareText = models.CharField
    NameText = models.CharField


class NameField(NameText):
    """What something is called: one line that turns nothing around, and something to see in it.

    A name that was kept before this was asked is read without what it must not hold.
    """

    default_validators = (validate_name,)

    def from_db_value(self, value: str | None, *_: Any) -> str | None:
        return None if value is None else plain_name(value)

    def deconstruct(self) -> Any:
        """In the database it is text like any other."""
        name, _, args, kwargs = super().deconstruct()
        return name, "django.db.models.CharField", args, kwargs


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


def read_whole(sent: str) -> int | None:
    """A number of plain digits, as a key in an address; None for anything else.

    So many digits fit into a column; Python reads no more than some thousands.

    >>> read_whole("12"), read_whole("-1"), read_whole("9" * 19)
    (12, None, None)
    """
    return int(sent) if sent.isascii() and sent.isdigit() and len(sent) < 19 else None
