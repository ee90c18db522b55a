"""A read-only look at every row, for owners; acts go through the pages."""

from typing import TYPE_CHECKING, Any

from django.apps import apps
from django.contrib import admin
from django.db import models
from django.http import HttpRequest

from breeding.program.models import Person, SignedIn, SignInLink

if TYPE_CHECKING:
    ModelAdmin = admin.ModelAdmin[Any]
else:
    ModelAdmin = admin.ModelAdmin


class ReadOnlyAdmin(ModelAdmin):
    """Shows rows and changes none: pages, commands and import share the services instead."""

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return bool(getattr(request.user, "is_owner", False))

    def has_module_permission(self, request: HttpRequest) -> bool:
        return bool(getattr(request.user, "is_owner", False))


def register_room(room: str, *, besides: tuple[type[models.Model], ...] = ()) -> None:
    """One read-only line in the admin for every model of a room."""
    for model in apps.get_app_config(room).get_models():
        if model not in besides and not admin.site.is_registered(model):
            admin.site.register(model, ReadOnlyAdmin)


class PersonAdmin(ReadOnlyAdmin):
    exclude = ("password",)
    list_display = ("username", "first_name", "role", "is_active", "last_login")


admin.site.register(Person, PersonAdmin)
# The hash of a link and the key of a session are nobody's business.
register_room("program", besides=(SignInLink, SignedIn))
