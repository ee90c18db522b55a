"""Pairings, what was seen, scans, how seasons ended, litters and their pups, and plans."""

from django.utils.translation import gettext_lazy as _

from breeding.records.archive.kinds.kind import Kind

KINDS = (
    Kind(
        "pairings.Pairing",
        "pairings",
        _("A female and a male put together."),
        {
            "introduced_on": "The day they were put together.",
            "separated_on": "The day they were separated. Empty: they are together.",
            "moved": "Which of the two was moved when they were separated.",
            "moved_to": "The tank it was moved to.",
            "separation_note": "A note on the separation.",
        },
    ),
    Kind(
        "pairings.SignKind",
        "sign_kinds",
        _("A kind of sign that is looked for at the tanks, and how often it is seen."),
        {
            "label": "What it is called.",
            "explanation": "How it is told.",
            "asks_severity": "Whether it is asked how severe it is.",
            "is_off_food": "Whether it means that she does not eat.",
            "position": "Its place among the others.",
        },
    ),
    Kind(
        "pairings.Sighting",
        "sightings",
        _("A sign that was seen on a female."),
        {
            "kind": "What was seen.",
            "seen_at": "When it was seen.",
            "male": "The male it was seen with.",
            "severity": "How severe, from 1 (light) to 3 (severe).",
            "photograph": "A picture of it.",
        },
    ),
    Kind(
        "pairings.Scan",
        "scans",
        _("An ultrasound scan of a female."),
        {
            "on": "The day.",
            "positive": "Whether pups or eggs were seen.",
            "number_seen": "How many were seen.",
            "done_by": "Who scanned.",
        },
    ),
    Kind(
        "pairings.Outcome",
        "outcomes",
        _("How a season of a female ended."),
        {"on": "The day.", "kind": "How it ended."},
    ),
    Kind(
        "pairings.Rest",
        "rests",
        _("How long a female rests after a birth, where it was said."),
        {"outcome": "The birth after which she rests."},
    ),
    Kind(
        "pairings.NurseryTick",
        "nursery_ticks",
        _("Something that was made ready for a birth, or done after it."),
        {"item": "What.", "on": "The day."},
    ),
    Kind(
        "litters.Litter",
        "litters",
        _("A birth."),
        {
            "code": "The litter's code.",
            "dam": "The mother.",
            "born_on": "The day of birth.",
            "outcome": "The end of her season that this birth is.",
        },
    ),
    Kind(
        "litters.Pup",
        "pups",
        _("One of the young of a birth, alive or not."),
        {
            "litter": "The birth.",
            "number": "Its number in the litter, from 1.",
            "alive": "Whether it was born alive.",
            "sex": "Its sex as seen at birth.",
            "disc_width_mm": "Width of the disc at birth.",
            "weight_g": "Weight at birth.",
            "yolk": "What was left of the yolk sac. Empty: nobody looked.",
            "markings": "What it can be told by.",
            "animal": "The animal it became on record.",
        },
    ),
    Kind(
        "traits.Trait",
        "traits",
        _("A trait of one gene, and how it is believed to be inherited."),
        {
            "name": "What it is called.",
            "inheritance": "How it is believed to be inherited.",
            "source": "Where that is known from.",
        },
    ),
    Kind(
        "traits.TraitLook",
        "trait_looks",
        _("What was seen of a trait on an animal, by eye or by a test."),
        {
            "trait": "Which trait.",
            "what": "What was seen, or what a test said.",
            "on": "The day.",
            "sure_percent": "How sure, in per cent.",
        },
    ),
    Kind(
        "planning.PlannedPairing",
        "planned_pairings",
        _("A female and a male that are to be put together from a day on."),
        {"tank": "Where."},
    ),
    Kind(
        "planning.LookAhead",
        "looks_ahead",
        _("The next years simulated: what was asked, and what came out."),
        {
            "seed": "Where its random numbers began; the same gives the same result.",
            "state": "How it went.",
            "done": "How many runs are done.",
            "in_all": "How many runs there are.",
            "stop_wished": "Whether somebody wished it to stop.",
            "first_year": "The first year it looks at.",
            "result": "What came out.",
            "trouble": "What went wrong.",
        },
    ),
)
