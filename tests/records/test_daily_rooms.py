"""Whatever is written from day to day goes out, comes in, is put right and is told of."""

from django.apps import apps

from breeding.agenda.models import Reminder
from breeding.animals.models import AssumedKin, Loan, Measurement
from breeding.program.acts.mending import kinds
from breeding.records.archive.kinds import by_label
from breeding.records.chronicle.sources import SOURCES
from breeding.records.incoming.kinds.table import KINDS

ROOMS = ("arrivals", "feeding", "health", "housing", "litters")
BESIDE = (AssumedKin, Loan, Measurement, Reminder)

# What has no day of its own is told of by another record, or by what was changed in it.
NOT_TOLD = {
    "animals.Loan": "its agreement tells when it began and ended",
    "feeding.Food": "its rounds name it",
    "housing.Tank": "its stays and its water name it",
    "housing.TankRhythm": "how often something is due, which is a setting",
    "housing.WaterRange": "which water is fit, which is a setting",
    "housing.WaterSource": "water changes name it",
    "housing.WaterSystem": "which tanks share their water",
    "litters.Pup": "its litter tells of it, and the animal that it is",
}
# What is not withdrawn by itself is changed on the page named here.
PUT_RIGHT = {
    "feeding.Meal": "with its round, feeding:detail",
    "housing.TankRhythm": "housing:rhythm",
    "housing.WaterRange": "housing:limits",
}
# Tables that bring such rows in; what is not among them comes with another table or the archive.
BROUGHT_IN = {
    *("arrivals", "changes", "deaths", "feedings", "litters", "loans", "measurements"),
    *("observations", "quarantines", "reminders", "stays", "treatments", "water"),
}


def daily_models():
    of_rooms = [model for room in ROOMS for model in apps.get_app_config(room).get_models()]
    return {model._meta.label: model for model in (*of_rooms, *BESIDE)}


def test_each_goes_out_with_the_archive_and_comes_in_again():
    assert daily_models().keys() - by_label().keys() == set()


def test_each_can_be_put_right():
    mended = {kind.model._meta.label for kind in kinds()}
    assert daily_models().keys() - mended == PUT_RIGHT.keys()


def test_each_reaches_the_chronicle():
    told = {source.model._meta.label for source in SOURCES}
    assert daily_models().keys() - told == NOT_TOLD.keys()


def test_each_table_of_daily_care_can_be_brought_in():
    assert KINDS.keys() >= BROUGHT_IN
