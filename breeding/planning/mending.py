"""How a planned pairing is given up."""

import datetime

from django.urls import reverse

from breeding.planning.models import PlannedPairing
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Program


class PlannedPairingKind(Kind[PlannedPairing]):
    key = "planned-pairing"
    model = PlannedPairing
    related = ("female", "male")
    button = "Give it up"

    def called(self, record: PlannedPairing) -> str:
        return f"the plan for {record}"

    def heading(self, record: PlannedPairing) -> str:
        return f"Give up {record}"

    def lede(self, record: PlannedPairing, *, program: Program, today: datetime.date) -> str:
        return "The plan stays readable with the reason."

    def crumb(self, record: PlannedPairing) -> Way:
        return Way("Planned pairings", reverse("planning:waiting"))

    def follows(self, record: PlannedPairing) -> str:
        return f"{record} are planned no more."


KINDS = (PlannedPairingKind(),)
