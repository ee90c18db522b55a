"""The way from an empty program to its first pairing, as the front page shows it."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Exists
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse

from breeding.animals.around import everybody_around
from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.lately import where_everybody_is
from breeding.pairings.models import Pairing, Sighting
from breeding.program import clock
from breeding.program.models import Program
from breeding.words.language import tell

MOST_OF_A_BEGINNING = 12  # animals; who has more and pairs none is not led on after every act
FIRST = ("tank", "animal", "female", "male", "stay")


@dataclass(frozen=True)
class Step:
    """One thing to do: its words, what it is good for, where it is done, and what is said then."""

    words: str
    why: str
    address: str
    then: str
    is_done: bool


def first_steps(*, others_done: bool = False) -> Sequence[Step]:
    """The steps in their order; none once two were put together and something was seen.

    others_done: the page has seen that all steps but the last two are done. One query.
    """
    done = {**dict.fromkeys(FIRST, True), **_last_two()} if others_done else _asked()
    if not done or (done["pairing"] and done["sighting"]):
        return ()
    return _steps(**done)


def _asked() -> dict[str, bool]:
    asked = Program.objects.annotate(
        tank=Exists(Tank.objects.all()),
        animal=Exists(Animal.objects.all()),
        female=Exists(Animal.objects.filter(sex="F")),
        male=Exists(Animal.objects.filter(sex="M")),
        stay=Exists(Stay.objects.all()),
        pairing=Exists(Pairing.objects.all()),
        sighting=Exists(Sighting.objects.all()),
    )
    return asked.values(*FIRST, "pairing", "sighting").first() or {}


def _last_two() -> dict[str, bool]:
    """Mostly both are done, which is one query, or their tables are blank, which is none."""
    both = Pairing.objects.filter(Exists(Sighting.objects.all())).exists()
    return {
        "pairing": both or Pairing.objects.exists(),
        "sighting": both or Sighting.objects.exists(),
    }


def _steps(
    *,
    tank: bool,
    animal: bool,
    female: bool,
    male: bool,
    stay: bool,
    pairing: bool,
    sighting: bool,
) -> Sequence[Step]:
    new_animal = reverse("animals:new")
    return (
        Step(
            tell("Write down a tank"),
            tell("Its name and its size are enough."),
            reverse("housing:new"),
            tell("A tank is on record."),
            tank,
        ),
        Step(
            tell("Write down the first animal"),
            tell("What you do not know stays unknown; a table of many can be brought in at once."),
            new_animal,
            tell("An animal is on record."),
            animal,
        ),
        Step(
            tell("Have a male and a female on record"),
            tell("Write down known parents first, so that kinship is seen."),
            new_animal,
            tell("A male and a female are on record."),
            female and male,
        ),
        Step(
            tell("Say who lives in which tank"),
            tell("From it follows who shares water with whom."),
            reverse("housing:index"),
            tell("Somebody lives in a tank."),
            stay,
        ),
        Step(
            tell("Put two together"),
            tell("The page says at once how close they are and what F their young would have."),
            reverse("pairings:new"),
            tell("Two were put together."),
            pairing,
        ),
        Step(
            tell("Log the first thing you see"),
            tell("From it the program works out when she may be due."),
            reverse("pairings:log"),
            tell("Something was seen."),
            sighting,
        ),
    )


def first_steps_panel(request: HttpRequest, _about: object) -> str:
    """The way on, for those who may write; nothing once it has been walked."""
    steps = _steps_for(request)
    if not steps:
        return ""
    context = {"steps": steps, "following": _following(steps)}
    return render_to_string("help/_first_steps.html", context, request)


def next_step_panel(request: HttpRequest, _about: object) -> str:
    """The one step that comes next, under a list that is empty as yet."""
    following = _following(_steps_for(request))
    if following is None or following.address == request.path:
        return ""
    return render_to_string("help/_next_step.html", {"following": following}, request)


def after_act_panel(request: HttpRequest, about: object) -> str:
    """The same beside what was just done, while the program has only begun."""
    is_grown = Animal.objects.order_by()[: MOST_OF_A_BEGINNING + 1].count() > MOST_OF_A_BEGINNING
    if is_grown or request.path == reverse("agenda:day"):
        return ""
    return next_step_panel(request, about)


def _steps_for(request: HttpRequest) -> Sequence[Step]:
    if not getattr(request.user, "may_write", False):
        return ()
    sexes = {one.sex for one in everybody_around()}
    others_done = sexes >= {"F", "M"} and bool(where_everybody_is(clock.today()))
    return first_steps(others_done=others_done)


def _following(steps: Sequence[Step]) -> Step | None:
    return next((one for one in steps if not one.is_done), None)
