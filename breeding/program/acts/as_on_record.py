"""A form filled in with what is on record: what is left as shown stays exactly as it was."""

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils import timezone

from breeding.words.stored import read_stored


class AsOnRecord(forms.Form):
    """Mix it in before the form that wrote the record first.

    on_record: what the record holds, by field. shown: how a field shows it, where that is another
    thing (a moment to the minute, a temperature in the program's unit); what the program itself
    has written there is shown in the language of whoever reads. A rounded value that
    nobody touched is not written back rounded.
    """

    def __init__(
        self,
        *args: Any,
        on_record: Mapping[str, Any],
        shown: Mapping[str, Any] | None = None,
        **kwargs: Any,
    ) -> None:
        self.on_record = on_record
        self.shown = {**{name: _as_read(one) for name, one in on_record.items()}, **(shown or {})}
        kwargs["initial"] = self.shown
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        known = cleaned.keys() & self.on_record.keys()
        return cleaned | {name: self.on_record[name] for name in known if self._is_as_shown(name)}

    def _is_as_shown(self, name: str) -> bool:
        return name not in self.changed_data or self[name].data == self.shown[name]


def _as_read(value: Any) -> Any:
    return read_stored(value) if isinstance(value, str) else value


def to_the_minute(at: datetime.datetime) -> datetime.datetime:
    """A moment as a field shows it, where the program is."""
    return timezone.localtime(at).replace(second=0, microsecond=0)
