"""How births and their pups are changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html

from breeding.animals.models import Animal
from breeding.litters.births.correcting import correct_birth
from breeding.litters.births.pups import bring_pup_back, correct_pup, withdraw_pup
from breeding.litters.births.said_above import words_before_change
from breeding.litters.births.whole import bring_birth_back, whole_of_birth, withdraw_birth
from breeding.litters.correction_forms import LitterForm, PupChangeForm
from breeding.litters.models import Litter, Pup
from breeding.litters.queries import company_words, likely_parents_of
from breeding.litters.verdicts.mending import VerdictKind
from breeding.pairings.models import Outcome
from breeding.program.acts.mending import Kind, Way, address_of, change_address_of
from breeding.program.acts.resting import resting_words
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Answers
from breeding.program.queries import the_program
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined


class LitterKind(Kind[Litter]):
    key = "litter"
    model = Litter
    related = ("dam", "outcome")
    button = message("Withdraw the whole birth")

    def called(self, record: Litter) -> str:
        return tell("the birth of {litter}", litter=record)

    def crumb(self, record: Litter) -> Way:
        return Way(tell("Litter {code}", code=record.code), record.get_absolute_url())

    def beside(self, record: Litter) -> str:
        return f"{record.dam.name}, {long_day(record.born_on)}"

    def lede(self, record: Litter, *, program: Program, today: datetime.date) -> str:
        whole = whole_of_birth(record)
        parts = len(whole.counting_parts)
        goes = [
            tell_many("{number} pup", "{number} pups", len(whole.pups)),
            tell_many("{number} animal", "{number} animals", len(whole.animals)),
        ]
        if parts:
            goes.append(tell_many("{number} record of theirs", "{number} records of theirs", parts))
        said = [
            tell("With it go {records}, as they were written with it.", records=joined(goes)),
            tell("All stays readable with the reason and can be brought back whole."),
            tell("{dam}'s season is open again.", dam=record.dam.name),
        ]
        if stays := sum(pup.is_joined for pup in whole.pups):
            said.append(
                tell_many(
                    "{number} animal joined to it stays on record.",
                    "{number} animals joined to it stay on record.",
                    stays,
                )
            )
        return " ".join(said)

    def caution(self, record: Litter, *, today: datetime.date) -> str:
        found = whole_of_birth(record).resting()
        return (
            tell("It cannot go while this rests on it: {resting}.", resting=resting_words(found))
            if found
            else ""
        )

    def follows(self, record: Litter) -> str:
        return tell(
            "Its pups no longer count, and {dam}'s season is open again.", dam=record.dam.name
        )

    def act(
        self, record: Litter, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw_birth(record, by=by, now=now, reason=facts["reason"])

    def return_to_count(self, record: Litter, *, by: Person, now: datetime.datetime) -> None:
        bring_birth_back(record)

    def returns(self, record: Litter) -> str:
        return tell("So do its pups and all that was withdrawn with it.")

    def ask_after(self, record: Litter, answers: Answers, *, on: datetime.date) -> None:
        """Nobody chooses where pups are born: who must leave is said."""
        if not record.is_withdrawn:
            answers.said = company_words(record, the_program(), asof=on)

    def change_form(
        self,
        record: Litter,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        return LitterForm(sent, litter=record, today=today)

    def beside_change(self, record: Litter) -> str:
        number = record.pups.filter(animal__isnull=False).count()
        follow = tell_many(
            "{number} living pup changes with it: day of birth, dam, sires, and what was written "
            "with the birth. Its code stays.",
            "{number} living pups change with it: day of birth, dam, sires, and what was written "
            "with the birth. Their codes stay.",
            number,
        )
        return " ".join([follow, *words_before_change(record)])

    def change(
        self, record: Litter, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        try:
            correct_birth(
                record,
                dam=facts["dam"],
                born_on=facts["born_on"],
                parents=facts["sires"],
                keep_theirs=facts["keep_theirs"],
                premature=facts["premature"],
                note=facts["note"],
                today=timezone.localdate(now),
            )
        except ValidationError as problem:
            raise _at_the_first_possible_sire(problem) from None

    def changed(self, record: Litter) -> str:
        return tell("Its pups, her season and what was learned from it change with it.")


def _at_the_first_possible_sire(problem: ValidationError) -> ValidationError:
    found = problem.update_error_dict({})
    if "possible_sires" in found:
        found["possible_sire_1"] = found.pop("possible_sires")
    return ValidationError(found)


class PupKind(Kind[Pup]):
    key = "pup"
    model = Pup
    related = ("litter__dam", "litter__outcome", "animal")
    button = message("Remove this loan")

    def called(self, record: Pup) -> str:
        return str(record)

    def crumb(self, record: Pup) -> Way:
        return Way(tell("Litter {code}", code=record.litter.code), record.litter.get_absolute_url())

    def lede(self, record: Pup, *, program: Program, today: datetime.date) -> str:
        if record.animal is not None and not record.is_joined:
            return tell(
                "It and its animal {animal} no longer count; its number is not given again.",
                animal=record.animal.full_name,
            )
        said = tell("It no longer counts in its litter; its number is not given again.")
        if record.animal is None:
            return said
        return f"{said} {tell('{animal} stays on record.', animal=record.animal.name)}"

    def instead(self, record: Pup) -> Way:
        return Way(
            tell("withdraw the birth whole"),
            address_of(record.litter),
            before=tell("If nothing of the birth is true,"),
        )

    def act(
        self, record: Pup, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw_pup(record, by=by, now=now, reason=facts["reason"])

    def return_to_count(self, record: Pup, *, by: Person, now: datetime.datetime) -> None:
        bring_pup_back(record)

    def ask_after(self, record: Pup, answers: Answers, *, on: datetime.date) -> None:
        """Who must leave where it is again."""
        if not record.is_withdrawn:
            answers.said = company_words(record.litter, the_program(), asof=on)

    def change_form(
        self,
        record: Pup,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        return PupChangeForm(sent, pup=record, program=program, today=today)

    def beside_change(self, record: Pup) -> str:
        elsewhere = format_html(
            tell(
                "Dam and sires, and the day of the first, are those of the litter: "
                '<a href="{litter}">correct them there</a>, or <a href="{other}">move it to '
                "another litter</a>."
            ),
            litter=change_address_of(record.litter),
            other=reverse("litters:move_pup", args=[record.pk]),
        )
        if record.animal is None:
            said = tell("It is on record as dead at birth. If it is alive, it becomes an animal.")
            return format_html("{} {}", said, elsewhere)
        said = tell(
            "{animal} follows, except where something else has been found out since.",
            animal=record.animal.full_name,
        )
        return format_html("{} {}", said, elsewhere)

    def change(
        self, record: Pup, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        lives_after_all = record.animal_id is None and facts["pup"].alive
        parents = likely_parents_of(record.litter, the_program()) if lives_after_all else None
        correct_pup(record, facts["pup"], by=by, now=now, parents=parents)


def whole_of_outcome(outcome: Outcome) -> Litter | None:
    """A withdrawn birth comes back with its litter."""
    return Litter.objects.filter(outcome=outcome).first()


def whole_of_animal(animal: Animal) -> Litter | Pup | None:
    """An animal that was withdrawn with its pup comes back with it, or with the whole birth."""
    rows = Pup.every.select_related("litter").filter(animal=animal)
    pup = rows.filter(withdrawn_at=animal.withdrawn_at).first()
    if pup is None or pup.withdrawn_reason != animal.withdrawn_reason:
        return None  # the pup went with its animal, not the animal with its pup
    return pup.litter if pup.litter.withdrawn_at == animal.withdrawn_at else pup


KINDS = (LitterKind(), PupKind(), VerdictKind())
