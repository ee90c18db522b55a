"""This program's own key: renewed, given up as stolen, lost; each said by a signed word."""

import datetime
from collections.abc import Iterable
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models, transaction

from breeding import home
from breeding.exchange.keys.reading import known_lines, own_words
from breeding.exchange.models import HeldKeyWord
from breeding.program.models import Act, Person
from breeding.sheets.models import Sheet
from breeding.sheets.sealing import key_words
from breeding.sheets.sealing.key_words import KeyWord, public_of, write_key_file
from breeding.sheets.sealing.lost_key import LOST, is_lost
from breeding.sheets.sealing.seal import canonical, fingerprint
from breeding.sheets.standing import own_public_key
from breeding.words.language import tell

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey


def own_key() -> "Ed25519PrivateKey":
    """The key that this program signs with; the first one is made.

    Raises ValidationError when it cannot be read, and when it is lost: it is not replaced in
    silence, for buyers know it.
    """
    settle()
    place = Path(settings.HOME)
    try:
        key = home.sheet_key(place, make=not is_lost(place))
    except (OSError, ValueError) as problem:
        raise ValidationError(tell("The key cannot be read. {problem}", problem=problem)) from None
    if key is None:
        raise ValidationError(tell(LOST, name=home.SHEET_KEY_FILE))
    return key


@transaction.atomic
def renew_key(
    *, by: Person | None, on: datetime.date, stolen_since: datetime.date | None = None
) -> HeldKeyWord:
    """Another key signs from now on; both sign that it takes the place of the one before.

    stolen_since: from this day on what the old key signed is not this program's; the old key says
    so itself while it is still here. The old key is gone afterwards. The new one is on the disk
    before anything is written, and takes its place once everything is. Raises ValidationError.
    """
    old = own_key()
    _check_since(stolen_since, on)
    place = Path(settings.HOME)
    with suppress(FileNotFoundError):
        (place / home.NEXT_KEY_FILE).unlink()
    try:
        new = home.sheet_key(place, make=True, name=home.NEXT_KEY_FILE)
    except (OSError, ValueError) as problem:
        raise ValidationError(
            tell("The new key cannot be written. {problem}", problem=problem)
        ) from None
    assert new is not None  # noqa: S101 - it was just made
    said = _keep(key_words.succeeds(old, new, on), by=by)
    if stolen_since is not None:
        word = key_words.disowned(public_of(old), old, on, since=stolen_since)
        _keep(word, by=by)
    transaction.on_commit(partial(home.take_next_key, place))
    return said


@transaction.atomic
def disown_key(
    key: str, *, by: Person | None, on: datetime.date, since: datetime.date
) -> HeldKeyWord:
    """What an earlier key of this program signs from a day on is not its own.

    Raises ValidationError for a key that is none of this program's, or the one it signs with.
    """
    own = own_key()
    _check_since(since, on)
    if key not in earlier_keys():
        raise ValidationError(tell("This is no earlier key of this program."))
    return _keep(key_words.disowned(key, own, on, since=since), by=by)


@transaction.atomic
def say_lost(key: str, *, by: Person | None, on: datetime.date) -> HeldKeyWord:
    """The key that signs now stands for one that is gone.

    Raises ValidationError for a key that signed nothing of this program.
    """
    own = own_key()
    if key not in lost_keys():
        raise ValidationError(tell("No sheet of this program was signed with this key."))
    return _keep(key_words.lost(key, own, on), by=by)


def earlier_keys() -> list[str]:
    """Keys of this program before the one that signs now, the latest first."""
    own = own_public_key()
    return [one for one in reversed(known_lines(own).line(own)) if one != own] if own else []


def lost_keys() -> list[str]:
    """Keys that signed sheets of this program, and of which it has said nothing yet."""
    own = own_public_key()
    lines = known_lines(own)
    signed = Sheet.objects.exclude(public_key="").values_list("public_key", flat=True)
    return sorted({one for one in signed if own and not lines.is_one(one, own)})


def sheets_to_issue_anew() -> list[Sheet]:
    """Sheets that stand here, and of which readers are told not to rely on them: by their key."""
    lines = known_lines(own_public_key())
    hit = [one for one in earlier_keys() if lines.disowned_from(one)]
    standing = Sheet.objects.filter(
        public_key__in=hit, withdrawal__isnull=True, correction__isnull=True
    )
    found = standing.select_related("animal").order_by("issued_on", "pk")
    return [one for one in found if lines.is_disowned(one.public_key, one.issued_on.isoformat())]


def own_key_file() -> bytes:
    """What this program says of its keys, as a file. Raises ValidationError: nothing to say."""
    said = own_words()
    if not said:
        raise ValidationError(tell("Nothing was said of the key of this program yet."))
    return write_key_file(said)


def _keep(word: KeyWord, *, by: Person | None) -> HeldKeyWord:
    if HeldKeyWord.objects.filter(digest=word.digest).exists():
        raise ValidationError(tell("This was said already."))
    return HeldKeyWord.objects.create(
        content=canonical(word.packed).decode(), digest=word.digest, is_own=True, recorded_by=by
    )


def _check_since(since: datetime.date | None, on: datetime.date) -> None:
    if since is not None and since > on:
        raise ValidationError(
            {"since": tell("This day has not come yet; name today or an earlier one.")}
        )


def settle() -> None:
    """Finish a renewal after which the machine stopped: what both keys have signed is on record."""
    place = Path(settings.HOME)
    if not (place / home.NEXT_KEY_FILE).exists():
        return
    try:
        new = home.sheet_key(place, name=home.NEXT_KEY_FILE)
        old = home.sheet_key(place)
    except (OSError, ValueError):
        return
    if new is None or old is None:
        return
    pair = (public_of(old), public_of(new))
    if any((word.key, word.by) == pair for word in own_words()):
        home.take_next_key(place)


def refuse_unsaying(sender: type[Act], rows: Iterable[models.Model], **_: Any) -> None:
    """What was signed about a key can have been handed out, and the old key is gone."""
    if any(isinstance(one, HeldKeyWord) and one.is_own for one in rows):
        raise ValidationError(unsaid_words())


def unsaid_words() -> str:
    """Why a word about one's own key stays."""
    return tell(
        "What this program has signed about its key cannot be taken back: it may have been handed "
        "out. If the key is the wrong one, renew it once more."
    )


def fingerprints_of(keys: Iterable[str]) -> list[tuple[str, str]]:
    """Keys with their fingerprints, for a choice."""
    return [(one, fingerprint(one)) for one in keys]
