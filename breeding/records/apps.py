"""Django's card for the room `records`, which keeps the history of every change."""

from collections.abc import Iterator

from django.apps import AppConfig, apps
from django.db.models import Model


class RecordsConfig(AppConfig):
    name = "breeding.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"

    KEPT = (
        *("program", "animals", "identity", "housing", "feeding", "health", "pairings"),
        *("litters", "traits", "planning", "arrivals", "buyers", "sheets", "exchange"),
        *("origin", "offers", "agenda"),
    )
    # No facts, and they change often.
    NOT_KEPT = (
        *("SignInLink", "SignedIn", "Revision", "FeedEvent", "Mailing"),
        *("ShownColumns", "Act", "KeptForm"),
    )

    @classmethod
    def kept_models(cls) -> Iterator[type[Model]]:
        """Every model whose changes are kept."""
        for room in cls.KEPT:
            for model in apps.get_app_config(room).get_models():
                if model.__name__ not in cls.NOT_KEPT:
                    yield model

    def ready(self) -> None:
        """Who changed what and when is kept for every fact in every room."""
        from auditlog.registry import auditlog

        from breeding.program.acts.history import NEVER_KEPT
        from breeding.program.panels import add_panel

        for model in self.kept_models():
            # What others say of it is theirs; reading it would ask the database with every row.
            of_others = [one.name for one in model._meta.get_fields() if not one.concrete]
            auditlog.register(model, exclude_fields=[*NEVER_KEPT, *of_others])
        draft = self.get_model("ImportDraft")  # a table is kept as it is, not each of its texts
        auditlog.register(draft, include_fields=["file_name", "written_at", "written_with"])
        add_panel(
            "animals:detail", "chronicle", "breeding.records.panels.chronicle_panel", position=90
        )
