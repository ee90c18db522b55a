"""Django's card for the room `animals`."""

from django.apps import AppConfig


class AnimalsConfig(AppConfig):
    name = "breeding.animals"
    label = "animals"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Records of this room are put right; after an act is undone the lineage is read anew."""
        from breeding.animals import put_back  # noqa: F401  (its receiver)
        from breeding.animals.mending import KINDS
        from breeding.program.acts.mending import add_kinds

        add_kinds(*KINDS)
