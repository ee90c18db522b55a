"""The list of people."""

from typing import Any

import django_filters as filters
from django.db.models import Q
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from breeding.program.lists.narrowing import ChosenFilter, ListFilter, SearchFilter
from breeding.program.lists.page import ListOf, ListTable, column, computed
from breeding.program.models import Person
from breeding.program.templatetags.formats import moment
from breeding.words.language import message, tell, tell_as

ACCOUNTS = {
    "any": (_("any"), None),
    "open": (_("may sign in"), Q(is_active=True)),
    "closed": (_("closed"), Q(is_active=False)),
}
ROLES = [("owner", _("owner")), ("keeper", _("keeper")), ("viewer", _("viewer"))]


class PersonListFilter(ListFilter):
    """By name, role and whether the account is open."""

    q = SearchFilter("first_name", "username", placeholder=_("name"))
    role = filters.ChoiceFilter(choices=ROLES, empty_label=_("any"), label=_("Role"))
    account = ChosenFilter(ACCOUNTS, label=_("Account"))


class PersonTable(ListTable):
    """One row a person; those who may sign in come first."""

    list_key, one, many = "program:people", message("person"), message("people")
    always = ("name",)
    further = ("date_joined",)

    name = computed(kind="name", order_by=("first_name", "username"), verbose_name=_("Name"))
    username = column(_("signs in as"), verbose_name=_("Signs in as"))
    role = column(verbose_name=_("Role"))
    is_active = column(verbose_name=_("Account"))
    last_login = column(_("last signed in"), verbose_name=_("Last signed in"))
    date_joined = column(_("since"), verbose_name=_("Since"))

    def render_name(self, record: Person) -> str:
        address = reverse("program:person", args=[record.pk])
        return format_html('<a href="{}">{}</a>', address, record)

    def render_role(self, record: Person) -> str:
        return record.role_words

    def render_is_active(self, value: bool) -> str:
        return tell_as("of an account", "open") if value else tell("account closed")

    def render_last_login(self, value: Any) -> str:
        return moment(value, self.today)

    def render_date_joined(self, value: Any) -> str:
        return moment(value, self.today)


ALL_PEOPLE = ListOf(
    table=PersonTable,
    narrowed=PersonListFilter,
    rows=Person.objects.order_by("-is_active", "first_name", "username"),
    first=message("Nobody may sign in yet."),
)
