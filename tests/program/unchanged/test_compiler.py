"""A question is written as Django writes it, with less looking about."""

import pytest
from django.db import connection
from django.db.models import Count, F, Value
from django.db.models.functions import Lower
from django.db.models.sql import compiler

from breeding.animals.models import Animal
from breeding.program.unchanged.compiler import AnswersFromMemory

pytestmark = pytest.mark.django_db

all_of_them = Animal.objects.order_by("call_name")
ORDERED = {
    "as the model says": Animal.objects.all(),
    "by nothing": Animal.objects.order_by(),
    "by a column": all_of_them,
    "the other way round": all_of_them.reverse(),
    "by chance": Animal.objects.order_by("?"),
    "by a column of another table": Animal.objects.order_by("-sire__call_name", "pk"),
    "with another record": Animal.objects.select_related("sire").order_by("sire", "code"),
    "by an expression": Animal.objects.order_by(Lower("call_name").desc(), F("born_on").asc()),
    "nothing last": Animal.objects.order_by(F("born_on").desc(nulls_last=True)),
    "some columns": Animal.objects.values_list("pk", "call_name").order_by("call_name"),
    "some columns by another": Animal.objects.values("call_name").order_by("-born_on"),
    "each once": Animal.objects.values_list("call_name").distinct().order_by("call_name"),
    "records each once": all_of_them.distinct(),
    "by a name that was given": Animal.objects.alias(low=Lower("call_name")).order_by("low"),
    "by a name that is shown": Animal.objects.annotate(low=Lower("call_name")).order_by("-low"),
    "by a number of them": Animal.objects.values("sex").annotate(n=Count("pk")).order_by("n"),
    "by what is said besides": Animal.objects.extra(select={"low": "code"}).order_by("low"),
    "by a fixed value": Animal.objects.order_by(Value(1), "pk"),
    "two questions in one": Animal.objects.values_list("pk", "code")
    .order_by()
    .union(Animal.objects.values_list("pk", "call_name").order_by())
    .order_by("code"),
    "within another question": Animal.objects.filter(pk__in=all_of_them.values("pk")[:3]),
}


@pytest.mark.parametrize("asked", ORDERED.values(), ids=ORDERED.keys())
def test_what_is_in_order_is_asked_in_djangos_words(asked):
    ours = asked.query.get_compiler(connection=connection)
    assert isinstance(ours, AnswersFromMemory)
    djangos = compiler.SQLCompiler(asked.query.clone(), connection, None)
    assert ours.as_sql() == djangos.as_sql()


def test_columns_are_not_hashed_for_the_order_of_whole_records(monkeypatch):
    hashed = []
    monkeypatch.setattr(
        "django.db.models.expressions.Col.__hash__", lambda col: hashed.append(col) or 1
    )
    str(Animal.objects.order_by("call_name").query)
    assert hashed == []
