"""What others say of their keys is heard; a fingerprint that was told is written down."""

import datetime
import re
from collections.abc import Iterable
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.exchange.keys.reading import known_lines, known_to_strangers
from breeding.exchange.models import HeldKeyWord, KnownKey
from breeding.program.models import Person
from breeding.sheets.sealing.key_words import DISOWNED, SUCCEEDS, KeyWord
from breeding.sheets.sealing.seal import canonical, fingerprint
from breeding.sheets.standing import own_public_key
from breeding.words.days import plain_day
from breeding.words.language import tell

FIGURES = 32  # of a fingerprint


@dataclass(frozen=True)
class Heard:
    """One thing that is said of a key, in words, and whether it counts by all that is known."""

    word: KeyWord
    sentence: str
    counts: bool


def sentences_of(words: Iterable[KeyWord], is_stranger: bool = False) -> list[Heard]:
    """What each says to a reader, by what is known here."""
    words = list(words)
    own = own_public_key()
    lines = (known_to_strangers(own) if is_stranger else known_lines(own)).with_words(words)
    found = []
    for word in words:
        key, by = fingerprint(word.key), fingerprint(word.by)
        on = plain_day(datetime.date.fromisoformat(word.on))
        if word.says == SUCCEEDS:
            said = tell(
                "The key {by} takes the place of the key {key} from {day} on; both have signed "
                "that.",
                by=by,
                key=key,
                day=on,
            )
            counts = lines.successor(word.key) == word.by
        elif word.says == DISOWNED:
            since = plain_day(datetime.date.fromisoformat(word.since))
            said = tell(
                "What the key {key} signs from {since} on is not its owner's. The key {by} has "
                "signed that on {day}.",
                key=key,
                since=since,
                by=by,
                day=on,
            )
            counts = bool(lines.disowned_from(word.key))
        else:
            said = tell(
                "The key {by} says that it stands for the key {key}, which is lost. It cannot "
                "prove that: only the breeder can tell you, in some other way.",
                by=by,
                key=key,
            )
            counts = lines.is_one(word.key, word.by)
        found.append(Heard(word, said, counts))
    return found


@transaction.atomic
def hear(words: Iterable[KeyWord], *, by: Person | None) -> list[HeldKeyWord]:
    """Keep what was signed about keys; what is on record stays once. Returns what is new."""
    said = {word.digest: word for word in words}
    held = set(HeldKeyWord.objects.filter(digest__in=said).values_list("digest", flat=True))
    return [
        HeldKeyWord.objects.create(
            content=canonical(word.packed).decode(), digest=digest, recorded_by=by
        )
        for digest, word in said.items()
        if digest not in held
    ]


@transaction.atomic
def know_key(
    *,
    told: str,
    called: str,
    how: str,
    on: datetime.date,
    today: datetime.date,
    by: Person | None,
    instead_of: str = "",
    note: str = "",
) -> KnownKey:
    """Write down a fingerprint that somebody told, and whose it is.

    instead_of: the fingerprint of a lost key that it stands for now. Raises ValidationError.
    """
    one = KnownKey(recorded_by=by)
    return change_known_key(
        one,
        told=told,
        called=called,
        how=how,
        on=on,
        today=today,
        instead_of=instead_of,
        note=note,
    )


@transaction.atomic
def change_known_key(
    one: KnownKey,
    *,
    told: str,
    called: str,
    how: str,
    on: datetime.date,
    today: datetime.date,
    instead_of: str = "",
    note: str = "",
) -> KnownKey:
    """Put right what was told. Raises ValidationError by field."""
    one.fingerprint = read_fingerprint(told, "told")
    one.instead_of = read_fingerprint(instead_of, "instead_of") if instead_of.strip() else ""
    if on > today:
        raise ValidationError({"on": tell("This day has not come yet.")})
    others = KnownKey.objects.filter(instead_of=one.instead_of).exclude(pk=one.pk)
    if one.instead_of and (other := others.first()):
        raise ValidationError(
            {
                "instead_of": tell(
                    "The key of {called} stands for this one already; put that right first.",
                    called=other.called,
                )
            }
        )
    one.called, one.how, one.told_on, one.note = called, how, on, note
    one.full_clean(exclude=["recorded_by"])
    one.save()
    return one


def read_fingerprint(typed: str, field: str) -> str:
    """A fingerprint as it is shown, from what was typed. Raises ValidationError at the field.

    >>> read_fingerprint("6668-7AADf862bd776c8fc18b8e9f8e20", "told")
    '6668 7aad f862 bd77 6c8f c18b 8e9f 8e20'
    """
    figures = re.sub(r"[\s:.\-]", "", typed).lower()
    if not re.fullmatch(r"[0-9a-f]*", figures) or len(figures) != FIGURES:
        raise ValidationError(
            {
                field: tell(
                    "“{typed}” is no fingerprint: it has {most} figures, 0 to 9 and a to f.",
                    typed=typed[:60],
                    most=FIGURES,
                )
            }
        )
    return " ".join(figures[place : place + 4] for place in range(0, FIGURES, 4))
