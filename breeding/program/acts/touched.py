"""What somebody touched in a form that shows a record, and what others changed of it meanwhile."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.functional import cached_property

from breeding.words.language import tell


class ShowsRecord(forms.BaseForm):
    """A form filled in with a record: `changed_data` is what was touched since it was shown.

    Compared is the text, with what the page showed (the hidden `initial-...` beside each field):
    a value that is shown rounded, or that somebody else changed meanwhile, and was not touched
    stays as it is on record.
    """

    def remember_what_is_shown(self) -> None:
        """Called once the fields are there: the page carries what it showed beside each."""
        for field in self.fields.values():
            if not isinstance(field, forms.FileField | forms.BooleanField):
                field.show_hidden_initial = True

    @cached_property
    def changed_data(self) -> list[str]:
        return [bound.name for bound in self if _is_touched(bound)]

    def refuse_what_was_overtaken(self, names: Iterable[str]) -> None:
        """An error beside each of these fields that was touched here and by others meanwhile.

        For what is in other rows than the record itself, whose version the page carries.

        The form that is shown again knows what stands now, so that sending it once more decides.
        """
        data = self.data.copy()  # type: ignore[attr-defined]
        touched = set(self.changed_data)
        for bound in [self[name] for name in names if name in touched]:
            then, now = data.get(bound.html_initial_name), _shown(bound)
            if then is None or then == now:
                continue
            data[bound.html_initial_name] = now
            if str(bound.data) != now:
                self.add_error(
                    bound.name,
                    tell(
                        "Somebody changed this to {value} while you had it open. Save once more "
                        "if yours is right.",
                        value=_in_words(bound, now),
                    ),
                )
        self.data = data


def _is_touched(bound: forms.BoundField) -> bool:
    if isinstance(bound.field, forms.FileField | forms.BooleanField):
        return bool(bound.field.has_changed(bound.initial, bound.data))
    shown = bound.form.data.get(bound.html_initial_name)
    return _shown(bound) != (bound.data or "") if shown is None else shown != (bound.data or "")


def _shown(bound: forms.BoundField) -> str:
    """What the field shows of the record, as it would be sent back."""
    value: Any = bound.field.widget.format_value(bound.field.prepare_value(bound.initial))
    if isinstance(value, list | tuple):
        value = value[0] if value else ""
    return "" if value is None else str(value)


def _in_words(bound: forms.BoundField, value: str) -> str:
    choices = getattr(bound.field, "choices", ())
    said = next((str(label) for key, label in choices if str(key) == value), value)
    return tell("“{value}”", value=said) if value else tell("nothing")
