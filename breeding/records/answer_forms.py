"""The form of what is asked of a table: one answer to each cause of its problems."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.records.incoming.answers import AS, NEW, SKIP, Answer
from breeding.records.incoming.cells import plain
from breeding.records.incoming.known import Known
from breeding.records.incoming.meanings import Meaning
from breeding.records.incoming.problems import Cause, Looked, Problem, shown
from breeding.records.incoming.sorts import Offered, offered_for
from breeding.words.language import tell

EMPTY, OTHER = "empty", "other"
MOST_CAUSES = 200
_NEW_WORDS = {
    "tank": _("a new tank of this name"),
    "source": _("a new source water of this name"),
    "person": _("a new person of this name"),
    "strain": _("a new strain of this name"),
    "parent": _("another animal, which is not here"),
}


@dataclass(frozen=True)
class Asked:
    """One cause on the form, with its fields; `given` is the answer it has already."""

    cause: Cause
    offered: Offered
    meaning: Meaning | None
    takes_note: bool
    given: Answer | None = None

    @property
    def name(self) -> str:
        return self.cause.name

    @property
    def words(self) -> str:
        """What is asked; what could be written instead is among the choices."""
        if self.cause.typed and self.offered.choices:
            return f"{self.cause.message.partition(';')[0].rstrip('.')}."
        return self.cause.message

    @property
    def takes_text(self) -> bool:
        """One text for several codes would make them alike."""
        is_one = bool(self.cause.typed) or len(self.cause.lines) == 1
        return self.meaning is not None and (is_one or self.meaning.key != "code")

    @property
    def choices(self) -> list[tuple[str, str]]:
        found = [("", tell("not answered yet"))]
        words = {text: said for text, said in self.offered.choices if self._is_another(text)}
        if self.given is not None and self.given.act == AS and self.given.text:
            words.setdefault(self.given.text, self.given.text)
        if self.meaning is not None:
            found += [
                (f"as:{text}", tell("read as {words}", words=label))
                for text, label in words.items()
            ]
            if self.offered.may_be_new and self.cause.typed:
                found.append((NEW, str(_NEW_WORDS[self.meaning.sort])))
            if self._may_be_empty(self.meaning):
                found.append((EMPTY, tell("leave it empty: not known")))
        is_one = len(self.cause.lines) == 1
        found.append((SKIP, tell("leave this row out") if is_one else tell("leave these rows out")))
        if self.takes_text:
            found.append((OTHER, tell("read as what is written beside")))
        return found

    def _may_be_empty(self, meaning: Meaning) -> bool:
        """How a test was read is asked because it is empty: leaving it so would ask again."""
        return not meaning.is_needed and meaning.key not in ("code", "read_as")

    def _is_another(self, text: str) -> bool:
        """Whether it is not the very value that was refused: that would be asked again."""
        return plain(text) != plain(self.cause.typed or "")

    @property
    def initial(self) -> str:
        if self.given is None:
            return self._proposed
        if self.given.act != AS:
            return self.given.act
        return f"as:{self.given.text}" if self.given.text else EMPTY

    @property
    def _proposed(self) -> str:
        """What is chosen before anything is answered; empty where nothing is proposed."""
        if not self.cause.typed:
            return ""
        if self.offered.proposed:
            is_another = self._is_another(self.offered.proposed)
            return f"as:{self.offered.proposed}" if is_another else ""
        can_be_empty = self.meaning is not None and not self.meaning.is_needed
        if self.offered.proposes_nothing and can_be_empty:
            return EMPTY
        return NEW if self.offered.may_be_new else ""

    @property
    def keeps_words(self) -> bool:
        return self.given.keeps_words if self.given is not None else self.offered.keeps_words


class AnswersForm(forms.Form):
    """An answer to each cause, and those that were given before, which can be changed."""

    def __init__(self, *args: Any, asked: Sequence[Asked], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.asked = list(asked)[:MOST_CAUSES]
        for one in self.asked:
            self.fields[f"act_{one.name}"] = forms.ChoiceField(
                required=False, choices=one.choices, initial=one.initial, label=_("It is")
            )
            if one.takes_text:
                self.fields[f"text_{one.name}"] = forms.CharField(
                    required=False, max_length=200, label=_("Or written as")
                )
            if one.takes_note and one.cause.typed:
                self.fields[f"keep_{one.name}"] = forms.BooleanField(
                    required=False, initial=one.keeps_words, label=_("Keep its words in the note")
                )

    def rows(self) -> Iterator[tuple[Asked, list[forms.BoundField]]]:
        """Each cause with its fields."""
        for one in self.asked:
            names = (f"{part}_{one.name}" for part in ("act", "text", "keep"))
            yield one, [self[name] for name in names if name in self.fields]

    def open_rows(self) -> list[tuple[Asked, list[forms.BoundField]]]:
        return [row for row in self.rows() if row[0].given is None]

    def given_rows(self) -> list[tuple[Asked, list[forms.BoundField]]]:
        return [row for row in self.rows() if row[0].given is not None]

    def given(self) -> list[Answer]:
        """What is answered now."""
        return [answer for one in self.asked if (answer := self._answer(one)) is not None]

    def taken_back(self) -> list[Answer]:
        """What was answered before and is not any more."""
        return [
            one.given for one in self.asked if one.given is not None and self._answer(one) is None
        ]

    def _answer(self, one: Asked) -> Answer | None:
        act = self.cleaned_data.get(f"act_{one.name}", "")
        text = " ".join(self.cleaned_data.get(f"text_{one.name}", "").split())
        keeps = bool(self.cleaned_data.get(f"keep_{one.name}"))
        blank = one.given or one.cause.answer
        if text:
            return replace(blank, act=AS, text=text, keeps_words=keeps)
        if act in (NEW, SKIP):
            return replace(blank, act=act, text="", keeps_words=False)
        if act == EMPTY:
            return replace(blank, act=AS, text="", keeps_words=keeps)
        if act.startswith("as:"):
            return replace(blank, act=AS, text=act.removeprefix("as:"), keeps_words=keeps)
        return None


def asked_of(
    looked: Looked,
    answers: Sequence[Answer],
    meanings: Mapping[str, Meaning],
    *,
    has_note: bool,
    own_names: Sequence[str] = (),
) -> list[Asked]:
    """Every cause that is open, and every answer that was given."""
    known = Known()
    names = [name for name in own_names if name]
    again = {cause.answer.about for cause in looked.causes}
    answered = [one for one in answers if one.about not in again]
    found = []
    for cause, given in [
        *((cause, None) for cause in looked.causes),
        *((_cause_of(answer, meanings), answer) for answer in answered),
    ]:
        meaning = meanings.get(cause.meaning)
        offered = Offered()
        if meaning is not None:
            offered = offered_for(meaning.sort, cause.typed or "", known, names)
        found.append(Asked(cause, offered, meaning, has_note, given))
    return found


def _cause_of(answer: Answer, meanings: Mapping[str, Meaning]) -> Cause:
    """What an answer was given to, as it stands in the table now."""
    lines = answer.lines
    label = meanings[answer.meaning].label if answer.meaning in meanings else ""
    message = answer.asked or shown(answer.typed)
    where = Problem(lines, answer.meaning, "", label=label).where if lines else label
    return Cause(answer.meaning, answer.typed or None, lines, message, where)
