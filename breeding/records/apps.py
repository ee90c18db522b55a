"""Django's card for the room `records`, which keeps the history of every change."""

from django.apps import AppConfig, apps


class RecordsConfig(AppConfig):
    name = "breeding.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"

    KEPT = (
        *("program", "animals", "housing", "pairings", "litters", "planning"),
        *("buyers", "sheets", "origin", "offers", "agenda"),
    )
    # No facts, and they change often.
    NOT_KEPT = ("SignInLink", "Revision", "FeedEvent", "Mailing", "ShownColumns")
    NOT_IN_HISTORY = ("password", "last_login", "token", "token_hash", "nonce")

    def ready(self) -> None:
        """Who changed what and when is kept for every fact in every room."""
        from auditlog.registry import auditlog

        for room in self.KEPT:
            for model in apps.get_app_config(room).get_models():
                if model.__name__ not in self.NOT_KEPT:
                    auditlog.register(model, exclude_fields=[*self.NOT_IN_HISTORY])
