"""What quarantine adds to the pages of animals and tanks."""

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.health.apart.standing import in_water
from breeding.health.models import Quarantine
from breeding.health.quarantine import all_quarantined, quarantined
from breeding.housing.models import Tank
from breeding.program import clock

SHOWN = 12


def animal_panel(request: HttpRequest, animal: Animal) -> str:
    """Until when it is in quarantine and why, and what was said of earlier ones."""
    today = clock.today()
    rows = Quarantine.every.filter(animal=animal).select_related("recorded_by", "withdrawn_by")
    said = list(rows[:SHOWN])
    for row in said:
        row.animal = animal
    one = quarantined([animal.pk], today).get(animal.pk)
    is_gone = animal.state in GONE
    past = [row for row in said if row.ended_on is not None and not row.is_withdrawn]
    if one is None and not said and is_gone:
        return ""
    context = {
        "animal": animal,
        "one": one,
        "is_done": one is not None and one.is_done_on(today),
        "past": past,
        "is_gone": is_gone,
        "withdrawn": [row for row in said if row.is_withdrawn],
    }
    return render_to_string("health/_apart_panel.html", context, request)


def tank_panel(request: HttpRequest, tank: Tank) -> str:
    """Who in its water is in quarantine; for a tank for quarantine also that nobody is."""
    today = clock.today()
    everybody = all_quarantined(today)
    inside = set(in_water(tank, today)) if everybody else set()
    found = {key: one for key, one in everybody.items() if key in inside}
    those = sorted(
        (one for one in found.values() if one.left_on is None),
        key=lambda one: (one.until, one.animal.name),
    )
    if not those and tank.kind != Tank.Kind.QUARANTINE:
        return ""
    context = {"tank": tank, "those": [(one, one.is_done_on(today)) for one in those]}
    return render_to_string("health/_tank_apart_panel.html", context, request)
