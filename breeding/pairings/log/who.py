"""The field that says of whom something is written down: animals, tanks, one or several."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.housing.queries import present_stays
from breeding.pairings.season.facts import HERE
from breeding.program.fields import read_whole
from breeding.words.language import tell

TANK = "tank-"  # before the key of a tank, where animals are sent by their keys alone
MOST_AT_ONCE = 100


@dataclass(frozen=True)
class Chosen:
    """Of whom it is: animals by themselves, and tanks with those in them now."""

    animals: tuple[Animal, ...] = ()
    tanks: tuple[Tank, ...] = ()

    @property
    def inside(self) -> dict[Tank, list[Animal]]:
        """Those in each of the tanks now: one query."""
        found: dict[Tank, list[Animal]] = {tank: [] for tank in self.tanks}
        stays = present_stays().filter(tank__in=self.tanks).select_related("animal", "tank")
        for stay in stays.order_by("animal__call_name", "animal__code"):
            found[stay.tank].append(stay.animal)
        return found

    @property
    def everybody(self) -> list[Animal]:
        """Each animal once, those in the tanks with them."""
        inside = [one for animals in self.inside.values() for one in animals]
        return list(dict.fromkeys([*self.animals, *inside]))


class WhoField(forms.Field):
    """The keys of animals, and of tanks after a word; at least one."""

    widget = forms.SelectMultiple
    allowed = _("one of those shown")

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", _("Who"))
        super().__init__(error_messages={"required": _("Choose who it was.")}, **kwargs)

    def to_python(self, value: Any) -> Chosen | None:
        sent = [str(one) for one in value or () if one]
        if not sent:
            return None
        if len(sent) > MOST_AT_ONCE:
            raise ValidationError(
                tell(
                    "{number} are too many at once; at most {most}.",
                    number=len(sent),
                    most=MOST_AT_ONCE,
                )
            )
        return Chosen(
            animals=tuple(_found(sent, Animal.objects.filter(state__in=HERE), "")),
            tanks=tuple(_found(sent, Tank.objects.all(), TANK)),
        )

    def words_of(self, sent: str) -> str:
        """Who is meant by what was sent: a name, or what was sent where nobody is."""
        rows: Any = Tank.every if sent.startswith(TANK) else Animal.objects
        found = rows.filter(pk=read_whole(sent.removeprefix(TANK)) or 0).first()
        return sent if found is None else str(found.name)


def _found(sent: Sequence[str], rows: Any, before: str) -> list[Any]:
    """The rows that were sent with this word before their keys, in the order they were sent."""
    keys = {}
    for one in sent:
        if one.startswith(TANK) == bool(before):
            keys[one] = read_whole(one.removeprefix(before))
    known = {row.pk: row for row in rows.filter(pk__in=[pk for pk in keys.values() if pk])}
    for one, pk in keys.items():
        if pk not in known:
            raise ValidationError(
                tell(
                    "“{sent}” is not possible for “Who”; choose one of those shown.",
                    sent=one[:60],
                )
            )
    return [known[pk] for pk in dict.fromkeys(keys.values())]
