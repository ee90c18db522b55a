"""Forms for bringing in a table: the table itself, and what its columns mean."""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.program.forms import DayInput
from breeding.program.generics import ModelForm
from breeding.records.incoming import workbook
from breeding.records.incoming.delimited import (
    MOST_BYTES,
    Table,
    TableError,
    checked_text,
    decode,
    megabytes,
    read_table,
)
from breeding.records.incoming.kinds.table import meanings_of, note_of
from breeding.records.incoming.meanings import UNITS
from breeding.records.models import ImportDraft
from breeding.words.days import day_in_figures
from breeding.words.language import message, tell

PASTED = message("Pasted table")
TO_NOTE = "+note"
ACCEPTED = (".xlsx", ".xls", ".ods", ".csv", ".tsv", ".txt", "text/csv", "text/plain")
DATES = ("birth", "day", "moment")
_SAMPLE = 24


class TableForm(forms.Form):
    """A file, or the same as text; cleans to `file_name`, and `text` or `sheets` of a workbook."""

    file = forms.FileField(
        required=False,
        allow_empty_file=True,
        max_length=None,
        label=_("A file"),
        help_text=format_lazy(
            _(
                "A workbook (xlsx, ods, xls) with all its sheets, of at most {most} MB; or CSV "
                "with commas, semicolons or tabs, of at most {most_csv} MB."
            ),
            most=workbook.MOST_BYTES // 1024 // 1024,
            most_csv=MOST_BYTES // 1024 // 1024,
        ),
        widget=forms.ClearableFileInput(attrs={"accept": ",".join(ACCEPTED)}),
    )
    pasted = forms.CharField(
        required=False,
        strip=False,
        label=_("Or the table as text"),
        widget=forms.Textarea(
            attrs={"rows": 6, "spellcheck": "false", "placeholder": "code,sire,dam,sex,born"}
        ),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        file, pasted = cleaned.get("file"), cleaned.get("pasted", "")
        if self.errors:
            return cleaned
        if file and pasted.strip():
            raise ValidationError(tell("Choose a file or paste a text, one of the two."))
        if not file and not pasted.strip():
            raise ValidationError(tell("Choose a file, or paste the table as text."))
        try:
            if file:
                cleaned["file_name"] = file.name
                self._read(file, cleaned)
            else:
                cleaned["file_name"], cleaned["text"] = tell(PASTED), checked_text(pasted)
            if "text" in cleaned:
                read_table(cleaned["text"])
        except TableError as problem:
            self.add_error("file" if file else "pasted", str(problem))
        return cleaned

    def _read(self, file: Any, cleaned: dict[str, Any]) -> None:
        """Raises TableError for a file that is too large, or holds no table."""
        start = file.read(8)
        file.seek(0)
        most = workbook.MOST_BYTES if workbook.is_workbook(start) else MOST_BYTES
        if file.size > most:
            raise TableError(
                tell(
                    "{file} has {size} MB; allowed are {most} MB. Split it into several tables.",
                    file=file.name,
                    size=megabytes(file.size),
                    most=most // 1024 // 1024,
                )
            )
        if workbook.is_workbook(start):
            cleaned["sheets"] = workbook.read_workbook(file.read())
        else:
            cleaned["text"] = decode(file.read())


class CorrectionForm(forms.Form):
    """The text of a draft, to be corrected on the page."""

    text = forms.CharField(
        strip=False,
        label=_("The table"),
        widget=forms.Textarea(attrs={"rows": 12, "spellcheck": "false", "class": "table-text"}),
    )

    def clean_text(self) -> str:
        text = str(self.cleaned_data["text"])
        try:
            read_table(text)
        except TableError as problem:
            raise ValidationError(str(problem)) from None
        return text


def _short(value: str) -> str:
    flat = " ".join(value.split())
    return flat if len(flat) <= _SAMPLE else f"{flat[:_SAMPLE]}…"


class ColumnsForm(ModelForm):
    """What each column means, and how the rows are read."""

    class Meta:
        model = ImportDraft
        fields = [
            *("kind", "delimiter", "put_before_codes", "date_order", "usual_state", "measured_on")
        ]
        labels = {
            "kind": _("Each row is"),
            "delimiter": _("Values are separated by"),
            "put_before_codes": _("Put before every code of this table"),
            "date_order": _("Order of dates such as 3/5/2024"),
            "usual_state": _("State of animals whose row does not say it"),
            "measured_on": _("Day of sizes whose row does not say it"),
        }
        help_texts = {
            "put_before_codes": _(
                "When its codes are taken by other animals: KVL-, say. Rows keep naming each other "
                "as they do."
            ),
            "measured_on": _("Empty: day unknown; such a size never counts as the latest."),
        }
        widgets = {"measured_on": DayInput()}

    def __init__(self, *args: Any, table: Table, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["delimiter"] = forms.ChoiceField(
            choices=ImportDraft.Delimiter.choices, label=self.fields["delimiter"].label
        )
        self.fields["usual_state"] = forms.ChoiceField(
            choices=Animal.State.choices, label=self.fields["usual_state"].label
        )
        self.fields["measured_on"].required = False
        self.fields["kind"] = forms.ChoiceField(
            choices=ImportDraft.Kind.choices, label=self.fields["kind"].label
        )
        self._drop_what_is_not_asked()
        now = {position: meaning for meaning, position in self.instance.columns.items()}
        self.column_count = len(table.headers)
        choices = [("", _("not brought in"))]
        if note_of(self.instance.kind):
            choices.append((TO_NOTE, _("put into the note, with its header")))
        choices += [(one.key, one.label) for one in meanings_of(self.instance.kind)]
        for position, header in enumerate(table.headers):
            values = [row.cells[position] for row in table.rows if row.cells[position]]
            seen = [_short(value) for value in list(dict.fromkeys(values))[:3]]
            self.fields[f"column_{position}"] = forms.ChoiceField(
                choices=choices,
                required=False,
                initial=now.get(position) or self._unknown(position, seen),
                label=header or tell("column {number}, without a header", number=position + 1),
                help_text=", ".join(seen) if seen else _("empty in every row"),
            )

    def _drop_what_is_not_asked(self) -> None:
        """Fields that say nothing of such a table."""
        held, kind = set(self.instance.columns), self.instance.kind
        is_dated = {one.key for one in meanings_of(kind) if one.sort in DATES}
        if not held & is_dated:
            del self.fields["date_order"]
        if kind != ImportDraft.Kind.ANIMALS or not held & set(UNITS):
            del self.fields["measured_on"]
        if kind != ImportDraft.Kind.ANIMALS:
            del self.fields["put_before_codes"]
        if kind == ImportDraft.Kind.LITTERS:
            self.fields["usual_state"].label = _("State of pups of whom nothing else is on record")
        elif kind != ImportDraft.Kind.ANIMALS:
            del self.fields["usual_state"]
        if self.instance.workbook:
            del self.fields["delimiter"]

    def _unknown(self, position: int, seen: list[str]) -> str:
        """What becomes of a column without a meaning: it goes into the note, unless it is empty."""
        is_noted = seen and position not in self.instance.left_out
        return TO_NOTE if is_noted and note_of(self.instance.kind) else ""

    @property
    def column_fields(self) -> list[Any]:
        return [self[f"column_{position}"] for position in range(self.column_count)]

    @property
    def reading_fields(self) -> list[Any]:
        return [self[name] for name in self.Meta.fields if name in self.fields]

    def clean_measured_on(self) -> datetime.date | None:
        on: datetime.date | None = self.cleaned_data["measured_on"]
        if on is not None and on > self.today:
            raise ValidationError(
                tell(
                    "{day} is still to come; write the day of the measuring.",
                    day=day_in_figures(on),
                )
            )
        return on

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        columns: dict[str, int] = {}
        cleaned["left_out"] = []
        for position in range(self.column_count):
            meaning = cleaned.get(f"column_{position}")
            if not meaning:
                cleaned["left_out"].append(position)
            if not meaning or meaning == TO_NOTE:
                continue
            if meaning in columns:
                first = self.fields[f"column_{columns[meaning]}"].label
                words = tell(
                    "“{column}” has this meaning already; choose one of them.", column=first
                )
                self.add_error(f"column_{position}", words)
            columns.setdefault(meaning, position)
        cleaned["columns"] = columns
        return cleaned

    def choices(self) -> dict[str, Any]:
        """What the service wants; what was not asked is left out."""
        named = ("columns", "left_out", *self.Meta.fields)
        return {name: self.cleaned_data[name] for name in named if name in self.cleaned_data}
