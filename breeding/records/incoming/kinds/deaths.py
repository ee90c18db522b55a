"""Deaths as they were written down elsewhere."""

import datetime
from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.animals.services import change_state
from breeding.health.dying.services import Told, death_of, tell_death, tell_deaths
from breeding.health.models import Death
from breeding.program.problems.several import read_of
from breeding.records.incoming.kinds.kept import Kept, all_together, in_runs
from breeding.records.incoming.kinds.kind import BROUGHT_IN, Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    """Together of those that died by their own record; of each other one also that it died."""
    return in_runs(
        rows,
        keeping,
        is_plain=_died_by_its_record,
        key=lambda facts: facts["animal"].pk,
        together=_all_dead,
        alone=_death,
    )


def _died_by_its_record(facts: Facts) -> bool:
    one, on = facts["animal"], facts["on"]
    return one.state == Animal.State.DIED and (on is None or one.state_on == on)


def _all_dead(rows: Sequence[Facts], keeping: Keeping) -> list[Kept]:
    mine = [one["animal"].pk for one in rows]
    known = {one.animal_id: one for one in read_of(Death.objects.all(), "animal", mine)}

    def make(facts: Facts) -> Death:
        _refuse_known(facts["animal"], known.get(facts["animal"].pk))
        return death_of(facts["animal"], _told(facts), by=keeping.by)

    return all_together(
        rows, keeping, make=make, write=lambda made: tell_deaths(made, today=keeping.today)
    )


def _death(facts: Facts, keeping: Keeping) -> Any:
    """That it died, unless its own record says so, and how."""
    one = Animal.every.get(pk=facts["animal"].pk)
    _refuse_known(one, Death.objects.filter(animal=one).first())
    _dead_on(one, facts["on"], keeping)
    return tell_death(one, _told(facts), today=keeping.today, by=keeping.by)


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


def _told(facts: Facts) -> Told:
    return Told(
        cause=facts["cause"] or Death.Cause.UNKNOWN,
        is_by_laboratory=facts["is_by_laboratory"] == "yes",
        found_where=words(facts, "found_where"),
        ill_since=facts["ill_since"],
        circumstances=words(facts, "circumstances"),
        findings=words(facts, "findings"),
        examined_by=words(facts, "examined_by"),
    )


def _dead_on(one: Animal, on: Any, keeping: Keeping) -> None:
    """Its own record says that it died, and when. Raises ValidationError where it says otherwise.

    The day itself may be unknown, where the animal came in as one that died.
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
    if one.state == Animal.State.LEFT:
        keeping.ask_when(True, _left_by_its_record(one, on), "on")
    if not has_died or one.state_on is None:
        change_state(
            one,
            state=Animal.State.DIED,
            on=on,
            sure=keeping.sure,
            reason=BROUGHT_IN,
            by=keeping.by,
        )


def _left_by_its_record(one: Animal, on: datetime.date) -> str:
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
