"""What of litters can be found."""

from breeding.litters.models import Litter, Pup, Verdict
from breeding.program.found import Found

FOUND = (
    Found(
        "litter",
        Litter,
        "litters",
        names=("code",),
        codes=("code",),
        texts=("note",),
        related=("dam",),
        template="litters/_found.html",
    ),
    Found("pup", Pup, "notes", texts=("markings",)),
    Found("verdict", Verdict, "notes", texts=("reason",)),
)
