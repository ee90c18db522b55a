"""Passwords: changed by who has one, or set anew by a link that an owner made."""

import datetime

from django.contrib.auth import authenticate
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from breeding.program import services
from breeding.program.access import sessions
from breeding.program.access.slowing import wait_words
from breeding.program.models import Person, SignInLink
from breeding.words.language import tell

HOW_TO_CHOOSE = _(
    "At least 8 letters, digits or signs, and not one that many people use: three or four words "
    "that do not belong together are good, and easy to remember."
)
LINK_GOOD_FOR = datetime.timedelta(days=3)


def refuse_a_wrong_password(request: HttpRequest, person: Person, typed: str, field: str) -> None:
    """Nothing, when it is this person's. Wrong ones are counted as they are at the sign-in.

    Raises ValidationError beside the field.
    """
    if authenticate(request, username=person.username, password=typed) is None:
        words = wait_words(request) or tell("That is not your present password.")
        raise ValidationError({field: words})


@transaction.atomic
def keep_password(person: Person, hashed: str, *, keep: str | None = None) -> int:
    """A new password; every session ends but the one with the key `keep`. How many ended.

    Links that were made for this person earlier work no more.
    """
    person.password = hashed
    person.save(update_fields=["password"])
    SignInLink.objects.filter(person=person, used_at__isnull=True).delete()
    return sessions.end_all(person, but=keep)


@transaction.atomic
def keep_by_link(link: SignInLink, hashed: str, *, now: datetime.datetime) -> Person | None:
    """Spend the link for a new password; None when somebody else was quicker."""
    person = services.use_sign_in_link(link, now=now)
    if person is not None:
        keep_password(person, hashed)
    return person
