"""Who is meant by a name in the sire or dam column: a row of the table, or an animal on record."""

from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches

from django.core.exceptions import ValidationError

from breeding.animals.bulk import Parent
from breeding.animals.models import Animal
from breeding.animals.queries import with_code
from breeding.records.incoming.cells import NOBODY, plain
from breeding.words.language import tell
from breeding.words.numbers import joined

_MOST_HINTS = 20  # close matches are looked for so often; each costs a pass over all names


class Names:
    """The rows by code and call name, and the animals on record by code.

    A code of the table comes first, then a code on record, then a call name of the table.
    """

    def __init__(self, rows: Sequence[tuple[int, str, str]], referred_to: Iterable[str]) -> None:
        """`rows` are (line, code, call name); `referred_to` every name that may be a parent's."""
        self._by_code: dict[str, int] = {}
        self._by_call_name: dict[str, list[int]] = {}
        for line, code, call_name in rows:
            if code:
                self._by_code.setdefault(code, line)
            if call_name:
                self._by_call_name.setdefault(call_name, []).append(line)
        wanted = {name for name in referred_to if name and name not in self._by_code}
        on_record = with_code(wanted)
        self._on_record: Mapping[str, Animal] = on_record
        missing = [name for name in wanted if name not in on_record]
        self._called_on_record: dict[str, list[str]] = {}
        for code, called in Animal.objects.filter(call_name__in=missing).values_list(
            "code", "call_name"
        ):
            self._called_on_record.setdefault(called, []).append(code)
        self._hints = 0

    def __contains__(self, name: str) -> bool:
        return name in self._by_code or name in self._on_record or name in self._by_call_name

    def find(self, name: str) -> Parent | None:
        """The row (by line) or the animal of this name; None for a word such as "unknown".

        Raises ValidationError with a sentence when nobody has the name, or two rows have it.
        """
        if name in self._by_code:
            return self._by_code[name]
        if name in self._on_record:
            return self._on_record[name]
        lines = self._by_call_name.get(name, [])
        if len(lines) == 1:
            return lines[0]
        if lines:
            raise ValidationError(
                tell(
                    "“{name}” is the call name of {number} rows (lines {lines}); name the parent "
                    "by its code.",
                    name=name,
                    number=len(lines),
                    lines=joined([str(line) for line in lines[:6]]),
                )
            )
        if plain(name) in NOBODY:
            return None
        hint = self._hint(name)
        raise ValidationError(
            tell(
                "“{name}” is neither a row of this table nor a code on record ({hint}); give it a "
                "row, correct the name, or leave it empty when the parent is unknown.",
                name=name,
                hint=hint,
            )
            if hint
            else tell(
                "“{name}” is neither a row of this table nor a code on record; give it a row, "
                "correct the name, or leave it empty when the parent is unknown.",
                name=name,
            )
        )

    def _hint(self, name: str) -> str:
        if codes := self._called_on_record.get(name):
            if len(codes) == 1:
                return tell("on record, {name} has the code {code}", name=name, code=codes[0])
            names = joined(codes[:4], "or")
            return tell("on record, {name} can be {codes}", name=name, codes=names)
        if self._hints >= _MOST_HINTS:
            return ""
        self._hints += 1
        names_here = [*self._by_code, *self._by_call_name]
        close = get_close_matches(name[:60], names_here, n=1, cutoff=0.75)
        return tell("is {name} meant?", name=close[0]) if close else ""
