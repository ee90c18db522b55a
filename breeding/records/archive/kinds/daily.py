"""What is done for the animals every day: food, health, the water of their tanks."""

from django.utils.translation import gettext_lazy as _

from breeding.records.archive.kinds.kind import Kind

KINDS = (
    Kind("feeding.Food", "foods", _("A food that this program gives."), {"name": "What it is."}),
    Kind(
        "feeding.Feeding",
        "feedings",
        _("One round of feeding."),
        {
            "food": "What was given. Empty: nobody said.",
            "fed_at": "When.",
            "tank": "The tank that was fed. Empty: it was not a whole tank.",
            "amount_g": "How much all of them were offered together.",
        },
    ),
    Kind(
        "feeding.Meal",
        "meals",
        _("What one animal made of one round."),
        {
            "feeding": "The round.",
            "took": "What it made of it.",
            "fed_at": "When the round was.",
        },
    ),
    Kind(
        "health.Observation",
        "observations",
        _("Something that ailed an animal."),
        {
            "kind": "What it was.",
            "since": "Since when.",
            "over_on": "The day on which it was seen to be over. Empty: it goes on.",
            "photograph": "A picture of it.",
        },
    ),
    Kind(
        "health.Treatment",
        "treatments",
        _("A remedy for an animal or for the water of a tank."),
        {
            "remedy": "What was given.",
            "prescribed_by": "Who prescribed it. Empty: nobody is on record.",
            "against": "What it was given against.",
            "since": "The first day.",
            "until": "The last day. Empty: it goes on.",
            "hold_until": "The first day on which those treated may be sold, moved and bred.",
            "reason": "Why it was given in spite of what is known of it.",
        },
    ),
    Kind(
        "health.Visit",
        "visits",
        _("A veterinarian who looked at an animal or a tank."),
        {
            "on": "The day.",
            "by": "Who it was.",
            "found": "What was found.",
            "look_again_on": "When to look again.",
        },
    ),
    Kind(
        "health.Quarantine",
        "quarantines",
        _("An animal kept apart."),
        {
            "since": "The first day. Empty: a stay in a tank for quarantine says it.",
            "least_days": "How many days at least. Empty: as the program says.",
            "ended_on": "The day it ended. Empty: it goes on.",
            "result": "How it ended.",
        },
    ),
    Kind(
        "health.Death",
        "deaths",
        _("How an animal died."),
        {
            "cause": "What it died of, as far as is known.",
            "is_by_laboratory": "Whether a laboratory said so; otherwise it is suspected.",
            "found_where": "Where it was found.",
            "ill_since": "Since when something was seen.",
            "circumstances": "What happened before.",
            "findings": "What was seen inside.",
            "examined_by": "Who looked.",
            "photograph": "A picture.",
        },
    ),
    Kind(
        "housing.WaterSource",
        "water_sources",
        _("Water that tanks are filled with."),
        {
            "name": "What it is called.",
            "comes_from": "Where it comes from.",
            "is_dechlorinated": "Whether chlorine is taken out before it is used.",
            "temperature_c": "Its temperature in °C as it goes in.",
            "prepared": "What is done to it before it is used.",
            "tested_on": "When the figures were read.",
            "ph": "pH.",
            "conductivity_us_cm": "Conductivity in µS/cm at 25 °C.",
            "kh_dh": "Carbonate hardness in German degrees.",
        },
    ),
    Kind(
        "housing.WaterChange",
        "water_changes",
        _("Water of a tank that was changed."),
        {
            "changed_at": "When.",
            "litres": "How much, in litres.",
            "percent": "How much, in parts of a hundred of the tank.",
            "source": "Which water came in.",
        },
    ),
    Kind(
        "housing.TankWork",
        "tank_works",
        _("Care of a tank beside its water."),
        {"kind": "What was done.", "on": "The day."},
    ),
    Kind(
        "housing.TankRhythm",
        "tank_rhythms",
        _("How often something is due in one tank."),
        {"what": "What is due.", "every_days": "Every how many days."},
    ),
    Kind(
        "arrivals.Arrival",
        "arrivals",
        _("How an animal came."),
        {
            "on": "The day.",
            "contact": "From whom.",
            "price": "What was paid for it.",
            "currency": "In which money.",
            "papers": "Which papers came with it.",
            "pregnant": "Whether it was said to be pregnant.",
        },
    ),
    Kind(
        "arrivals.LoanAgreement",
        "loan_agreements",
        _("An animal lent to or by somebody."),
        {
            "direction": "To somebody, or by somebody.",
            "contact": "To or by whom.",
            "since": "The first day.",
            "due_back_on": "When it is due back.",
            "back_on": "When it came back. Empty: it has not.",
            "terms": "On what terms.",
            "young_owed": "How many young are owed for it.",
            "young_given": "How many of these were given that are on no record here.",
        },
    ),
    Kind(
        "arrivals.YoungGiven",
        "young_given",
        _("A young one that is given, or meant, for a loan."),
        {
            "agreement": "The loan.",
            "animal": "The young one.",
            "on": "The day it was said.",
        },
    ),
    Kind(
        "animals.AssumedKin",
        "assumed_kin",
        _("What two animals are assumed to be to each other."),
        {
            "one": "One of the two.",
            "other": "The other.",
            "degree": "What they are held to be.",
            "certainty": "How sure, from 0 to 1.",
        },
    ),
    Kind(
        "litters.Verdict",
        "verdicts",
        _("What was decided of a young animal."),
        {"decision": "What was decided.", "on": "The day.", "reason": "Why."},
    ),
    Kind(
        "agenda.Reminder",
        "reminders",
        _("Somebody's own reminder."),
        {
            "text": "What to think of.",
            "on": "For which day.",
            "every_days": "Every how many days it comes again. Empty: once.",
            "contact": "The person it is about.",
            "done_on": "When it was done.",
        },
    ),
)
