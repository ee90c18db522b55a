"""Deaths as they were written down elsewhere."""

import datetime
from collections.abc import Iterator, Mapping, Sequence

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.health.dying.services import ToldDeath, death_of, tell_deaths
from breeding.health.models import Death
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import Judged, read_of
from breeding.records.incoming.kinds.kept import Kept, all_together, in_runs
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    """That each died, unless its own record says so, and how."""
    return in_runs(
        rows,
        keeping,
        key=lambda facts: facts["animal"].pk,
        together=_all_dead,
    )


def _all_dead(rows: Sequence[Facts], keeping: Keeping) -> list[Kept]:
    mine = [one["animal"].pk for one in rows]
    animals = {one.pk: one for one in read_of(Animal.every.all(), "pk", mine)}
    known = {one.animal_id: one for one in read_of(Death.objects.all(), "animal", mine)}
    died_on: dict[int, datetime.date] = {}

    def make(facts: Facts) -> Death:
        one, on = animals[facts["animal"].pk], facts["on"]
        _refuse_known(one, known.get(one.pk))
        _refuse_other_day(one, on)
        if on is not None and (one.state != Animal.State.DIED or one.state_on is None):
            died_on[one.pk] = on
        return death_of(one, _told(facts), by=keeping.by)

    def write(made: Sequence[Death]) -> list[Judged[Death]]:
        left = [list(_left_by_its_record(animals[one.animal_id], died_on)) for one in made]
        judged = tell_deaths(made, today=keeping.today, died_on=died_on)
        for one, asked in zip(judged, left, strict=True):
            one.doubts = asked + one.doubts
        return judged

    return all_together(rows, keeping, make=make, write=write)


def _refuse_known(one: Animal, known: Death | None) -> None:
    if known is not None:
        raise ValidationError(
            {
                "animal": tell(
                    "How {animal} died ({cause}) is on record already; change that on its page, or "
                    "leave the row out.",
                    animal=one.full_name,
                    cause=known.cause_words,
                )
            }
        )


def _told(facts: Facts) -> ToldDeath:
    return ToldDeath(
        cause=facts["cause"] or Death.Cause.UNKNOWN,
        is_by_laboratory=facts["is_by_laboratory"] == "yes",
        found_where=words(facts, "found_where"),
        ill_since=facts["ill_since"],
        circumstances=words(facts, "circumstances"),
        findings=words(facts, "findings"),
        examined_by=words(facts, "examined_by"),
    )


def _refuse_other_day(one: Animal, on: datetime.date | None) -> None:
    """Raise ValidationError where its own record says otherwise of the day.

    That may be unknown, where the animal came in as one that died.
    """
    has_died = one.state == Animal.State.DIED
    if on is None:
        if not has_died:
            raise ValidationError(
                {
                    "on": tell(
                        "{animal} is on record as “{state}”; on which day did it die?",
                        animal=one.full_name,
                        state=one.get_state_display(),
                    )
                }
            )
        return
    if has_died and one.state_on is not None and one.state_on != on:
        raise ValidationError(
            {
                "on": tell(
                    "{animal} died on {day} by its own record, not on {other_day}.",
                    animal=one.full_name,
                    day=long_day(one.state_on),
                    other_day=long_day(on),
                )
            }
        )


def _left_by_its_record(one: Animal, died_on: Mapping[int, datetime.date]) -> Iterator[Doubt]:
    if one.state == Animal.State.LEFT and one.pk in died_on:
        yield Doubt(_left_words(one, died_on[one.pk]), "on")


def _left_words(one: Animal, on: datetime.date) -> str:
    if one.state_on is None:
        return tell(
            "{animal} left by its own record; it would stand as one that died here on {day}.",
            animal=one.full_name,
            day=long_day(on),
        )
    return tell(
        "{animal} left on {other_day} by its own record; it would stand as one that died here on "
        "{day}.",
        animal=one.full_name,
        other_day=long_day(one.state_on),
        day=long_day(on),
    )


DEATHS = Kind(
    "deaths",
    _("death"),
    _("deaths"),
    lambda number: tell_many("{number} death", "{number} deaths", number),
    (
        animal("animal", "code", "id", "name", "ray", "who", "dead", "tier"),
        Meaning(
            "on",
            _("Died on"),
            ("died on", "died", "date of death", "death", "dead on", "date", "day", "on"),
            _("a full date; may be empty where its own record says that it died"),
            "day",
        ),
        Meaning(
            "cause",
            _("Cause"),
            ("cause of death", "cause", "died of", "why", "todesursache", "ursache"),
            _("one of the causes, as “illness”"),
            "cause",
            is_needed=True,
        ),
        Meaning(
            "is_by_laboratory",
            _("A laboratory said so"),
            ("laboratory", "lab", "by laboratory", "post mortem", "necropsy", "labor"),
            _("yes or no"),
            "yes_no",
        ),
        Meaning(
            "found_where",
            _("Found where"),
            ("found where", "found", "where", "place", "tank"),
            _("in words"),
        ),
        Meaning("ill_since", _("Ill since"), ("ill since", "sick since"), _("a full date"), "day"),
        Meaning(
            "findings",
            _("Findings"),
            ("findings", "finding", "found inside", "befund"),
            _("in words"),
        ),
        Meaning(
            "examined_by", _("Looked at by"), ("examined by", "vet", "looked at by"), _("by whom")
        ),
        Meaning(
            "circumstances",
            _("Circumstances"),
            ("circumstances", "note", "notes", "remark", "remarks", "comment", "bemerkung"),
            _("in words; takes what has no column of its own"),
        ),
    ),
    _keep_all,
    lambda facts: facts["on"] or datetime.date.min,
    note="circumstances",
    takes=tuple(
        f"health.Death.{name}"
        for name in (
            *("animal", "cause", "is_by_laboratory", "found_where", "ill_since"),
            *("circumstances", "findings", "examined_by"),
        )
    ),
)
