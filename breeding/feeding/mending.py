"""How foods and rounds are changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse

from breeding.feeding.forms import FeedingChangeForm, FoodForm
from breeding.feeding.models import Feeding, Food
from breeding.feeding.services import FACTS, change_feeding, change_food, doubts_of
from breeding.program.acts.mending import Kind, Way, clock_words
from breeding.program.acts.named import bring_back_by_name, withdraw_unless_named
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Answers
from breeding.words.language import tell


class FoodKind(Kind[Food]):
    key = "food"
    model = Food

    def called(self, record: Food) -> str:
        return tell("the food {food}", food=record)

    def crumb(self, record: Food) -> Way:
        return Way(tell("Foods"), record.get_absolute_url())

    def instead(self, record: Food) -> Way | None:
        address = reverse("feeding:join_food", args=[record.pk])
        return Way(
            tell("join it to the other"), address, before=tell("If it was written down twice,")
        )

    def act(
        self, record: Food, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw_unless_named(record, by=by, now=now, reason=facts["reason"])

    def return_to_count(self, record: Food, *, by: Person, now: datetime.datetime) -> None:
        bring_back_by_name(record)

    def change_form(
        self,
        record: Food,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> Any:
        return FoodForm(sent, instance=record)

    def change(
        self, record: Food, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_food(record, **facts)

    def beside_change(self, record: Food) -> str:
        return tell(
            "Rounds on record carry the new name; sheets that were issued stay as they are."
        )


class FeedingKind(Kind[Feeding]):
    key = "feeding"
    model = Feeding
    related = ("food", "tank")

    def called(self, record: Feeding) -> str:
        at = clock_words(record.fed_at)
        if record.tank is None:
            return tell("the round on {moment}", moment=at)
        return tell("the round of {tank} on {moment}", tank=record.tank, moment=at)

    def heading(self, record: Feeding) -> str:
        return tell("Withdraw the round")

    def beside(self, record: Feeding) -> str:
        what = str(record.food) if record.food else tell("food")
        return f"{what}, {clock_words(record.fed_at)}"

    def crumb(self, record: Feeding) -> Way:
        return Way(tell("The round"), reverse("feeding:detail", args=[record.pk]))

    def lede(self, record: Feeding, *, program: Program, today: datetime.date) -> str:
        return tell(
            "For a round that was not given, or was entered twice. It stays readable with the "
            "reason, and no animal counts as fed by it."
        )

    def change_form(
        self,
        record: Feeding,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> FeedingChangeForm:
        meals = list(record.meals.select_related("animal").order_by("pk"))
        return FeedingChangeForm(sent, record=record, meals=meals, program=program)

    def change(
        self, record: Feeding, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        took = {
            int(name.removeprefix("took_")): made
            for name, made in facts.items()
            if name.startswith("took_")
        }
        record.answered = {one.mark for one in doubts_of(record)}
        change_feeding(record, took, now=now, **{name: facts[name] for name in FACTS})

    def ask_after(self, record: Feeding, answers: Answers, *, on: datetime.date) -> None:
        """What is asked of a new round is asked of a changed one, unless it stood so before."""
        if record.answered is not None:
            answers.ask(one for one in doubts_of(record) if one.mark not in record.answered)


KINDS = (FoodKind(), FeedingKind())
