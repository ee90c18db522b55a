"""Which tables are measured: of each the kind of its rows, and the models that it writes."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from benchmarks.tables import births as of_births
from benchmarks.tables import going_on, rows
from benchmarks.tables import stays as of_stays

if TYPE_CHECKING:
    from benchmarks.programs.grown import Grown

Table = Callable[["Grown", int], str]
# Kinds of which each row writes many records: no more rows of them are measured.
FEWER: Mapping[str, int] = {"species": 300}
# Of the young of which nothing else is on record; "here" where nothing is said.
STATES: Mapping[str, str] = {"births, young that left": "left"}
BIRTHS = ("pairings.Outcome", "litters.Litter", "litters.Pup")
WITH_YOUNG = ("animals.Animal", *BIRTHS)
# By what is measured: the kind of the rows, the table, and the models that it writes.
TABLES: Mapping[str, tuple[str, Table, tuple[str, ...]]] = {
    "animals": ("animals", rows.animals, ("animals.Animal", "animals.Measurement")),
    "measurements": ("measurements", rows.measurements, ("animals.Measurement",)),
    "sightings": ("sightings", rows.sightings, ("pairings.Sighting",)),
    "feedings": ("feedings", rows.feedings, ("feeding.Feeding", "feeding.Meal")),
    "water tests": ("water", rows.water, ("housing.WaterTest",)),
    "water changes": ("changes", rows.changes, ("housing.WaterChange",)),
    "stays": ("stays", of_stays.stays, ("housing.Stay",)),
    "stays, together": ("stays", of_stays.stays_together, ("housing.Stay",)),
    "stays, in groups": ("stays", of_stays.stays_in_groups, ("housing.Stay",)),
    "stays, without an end": ("stays", of_stays.stays_without_an_end, ("housing.Stay",)),
    "stays, while treated": ("stays", of_stays.stays_while_treated, ("housing.Stay",)),
    "stays, after two waters": ("stays", of_stays.stays_after_two_waters, ("housing.Stay",)),
    "stays, the remedy's day": ("stays", of_stays.stays_out_of_treated_water, ("housing.Stay",)),
    "stays, of this week": ("stays", of_stays.stays_of_this_week, ("housing.Stay",)),
    "stays, of growing ones": ("stays", of_stays.stays_of_growing_ones, ("housing.Stay",)),
    "stays, on a side": ("stays", of_stays.stays_on_sides, ("housing.Stay",)),
    "stays, in quarantine": ("stays", of_stays.stays_apart, ("housing.Stay",)),
    "people": ("people", rows.people, ("buyers.Contact",)),
    "pairings": ("pairings", rows.pairings, ("pairings.Pairing",)),
    "pairings, going on": ("pairings", going_on.pairings_going_on, ("pairings.Pairing",)),
    "pairings, from afar": ("pairings", going_on.pairings_from_afar, ("pairings.Pairing",)),
    "births": ("litters", of_births.births, BIRTHS),
    "births, young": ("litters", of_births.births_with_young, WITH_YOUNG),
    "births, young that left": ("litters", of_births.births_with_young, WITH_YOUNG),
    "births, weighed": ("litters", of_births.births_with_weights, WITH_YOUNG),
    "births, both sizes": ("litters", of_births.births_with_both_sizes, WITH_YOUNG),
    "births of young on record": ("litters", of_births.births_of_young, BIRTHS),
    "births, young weighed": ("litters", of_births.births_with_sizes_of_young, BIRTHS),
    "births that change young": ("litters", of_births.births_that_change_young, BIRTHS),
    "births, change parents": ("litters", of_births.births_that_change_parents, BIRTHS),
    "births of those who breed": ("litters", of_births.births_of_those_who_breed, BIRTHS),
    "births of unsure sires": ("litters", of_births.births_of_unsure_sires, BIRTHS),
    "observations": ("observations", rows.observations, ("health.Observation",)),
    "treatments": ("treatments", rows.treatments, ("health.Treatment",)),
    "sales": ("sales", rows.sales, ("buyers.HandOver",)),
    "sales, young": ("sales", rows.sales_young, ("buyers.HandOver",)),
    "sales, after company": ("sales", rows.sales_after_company, ("buyers.HandOver",)),
    "sales, kept apart": ("sales", going_on.sales_of_those_apart, ("buyers.HandOver",)),
    "arrivals": ("arrivals", rows.arrivals, ("arrivals.Arrival",)),
    "loans": ("loans", rows.loans, ("arrivals.LoanAgreement",)),
    "loans, going on": (
        "loans",
        going_on.loans_going_on,
        ("arrivals.LoanAgreement", "animals.Loan"),
    ),
    "loans, kept apart": (
        "loans",
        going_on.loans_of_those_apart,
        ("arrivals.LoanAgreement", "animals.Loan"),
    ),
    "quarantines": ("quarantines", rows.quarantines, ("health.Quarantine",)),
    "quarantines, going on": ("quarantines", rows.quarantines_going_on, ("health.Quarantine",)),
    "quarantines, once more": (
        "quarantines",
        going_on.quarantines_once_more,
        ("health.Quarantine",),
    ),
    "quarantines, twice": ("quarantines", going_on.quarantines_twice, ()),
    "deaths": ("deaths", rows.deaths, ("health.Death",)),
    "deaths, first told": ("deaths", rows.deaths_first_told, ("health.Death",)),
    "looks": ("traits", rows.looks, ("traits.TraitLook",)),
    "reminders": ("reminders", rows.reminders, ("agenda.Reminder",)),
    "strains": ("strains", rows.strains, ("animals.Strain",)),
    "species": ("species", rows.species, ("animals.Species",)),
    "refused": ("measurements", rows.refused, ()),
}
