"""Which tables are to have marks: of every room, and of the libraries whose rows pages show."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from django.apps import AppConfig, apps
from django.db import models

# Who signs in with what is asked of the database every time; nothing of it stays in memory.
APART = ("admin", "auth", "axes", "otp_static", "otp_totp", "sessions")
APART_TABLES = ("program_signedin", "program_signinlink")


def watched_tables(app: AppConfig) -> list[str]:
    """Those of a room, or of a library, that are to have marks."""
    if app.label in APART:
        return []
    return [
        model._meta.db_table
        for model in app.get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy
        if model._meta.db_table not in APART_TABLES and not _is_about_signing_in(model)
    ]


@cache
def every_watched_table() -> frozenset[str]:
    """Of all rooms, whether they are in the database yet or not."""
    return frozenset(table for app in apps.get_app_configs() for table in watched_tables(app))


@cache
def daily_models() -> Mapping[str, type[models.Model]]:
    """By their tables, those of which it is known what was written: records are added to them
    every day (`grows_daily` of a model), or what they were is told (`told_when_changed`); and the
    history, to which every act adds."""
    return {
        model._meta.db_table: model
        for model in apps.get_models()
        if getattr(model, "grows_daily", False)
        or hasattr(model, "told_when_changed")
        or model._meta.label == "auditlog.LogEntry"
    }


@cache
def daily_tables() -> frozenset[str]:
    return frozenset(daily_models())


@cache
def told_fields(table: str) -> tuple["models.Field[Any, Any]", ...]:
    """What of a row of a daily table is noted when it is changed or removed: its key and
    `told_when_changed` of the model, whom it was about and of which day."""
    model = daily_models()[table]
    names = {"id", *getattr(model, "told_when_changed", ())}
    return tuple(one for one in model._meta.concrete_fields if one.name in names)


def _is_about_signing_in(model: type[models.Model]) -> bool:
    return any(model._meta.db_table.startswith(f"{app}_") for app in APART)
