"""The list of people."""

from typing import Any

import django_filters as filters
from django.db.models import Q
from django.urls import reverse
from django.utils.html import format_html

from breeding.program.lists.narrowing import ChosenFilter, ListFilter, SearchFilter
from breeding.program.lists.page import ListOf, ListTable, column, computed
from breeding.program.models import Person
from breeding.program.templatetags.formats import moment

ACCOUNTS = {
    "any": ("any", None),
    "open": ("may sign in", Q(is_active=True)),
    "closed": ("closed", Q(is_active=False)),
}
ROLES = [(value, value) for value in Person.Role.values]


class PersonListFilter(ListFilter):
    """By name, role and whether the account is open."""

    q = SearchFilter("first_name", "username", placeholder="name")
    role = filters.ChoiceFilter(choices=ROLES, empty_label="any", label="Role")
    account = ChosenFilter(ACCOUNTS, label="Account")


class PersonTable(ListTable):
    """One row a person; those who may sign in come first."""

    list_key, one, many = "program:people", "person", "people"
    always = ("name",)
    further = ("date_joined",)

    name = computed(kind="name", order_by=("first_name", "username"), verbose_name="Name")
    username = column("signs in as", verbose_name="Signs in as")
    role = column()
    is_active = column(verbose_name="Account")
    last_login = column("last signed in", verbose_name="Last signed in")
    date_joined = column("since", verbose_name="Since")

    def render_name(self, record: Person) -> str:
        address = reverse("program:person", args=[record.pk])
        return format_html('<a href="{}">{}</a>', address, record)

    def render_role(self, record: Person) -> str:
        return record.role

    def render_is_active(self, value: bool) -> str:
        return "open" if value else "account closed"

    def render_last_login(self, value: Any) -> str:
        return moment(value, self.today)

    def render_date_joined(self, value: Any) -> str:
        return moment(value, self.today)


ALL_PEOPLE = ListOf(
    table=PersonTable,
    narrowed=PersonListFilter,
    rows=Person.objects.order_by("-is_active", "first_name", "username"),
    first="Nobody may sign in yet.",
)
