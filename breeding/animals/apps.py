"""Django's card for the room `animals`."""

from django.apps import AppConfig


class AnimalsConfig(AppConfig):
    name = "breeding.animals"
    label = "animals"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Records of this room are put right; after an act is undone the lineage is read anew."""
        from breeding.animals.away import put_back  # noqa: F401  (its receiver)
        from breeding.animals.found import FOUND
        from breeding.animals.pictures import tree_svg
        from breeding.animals.species.kinds import program_words
        from breeding.program.acts.mending import add_kinds
        from breeding.program.found import add_found
        from breeding.program.kinds import add_kind_words
        from breeding.program.serving.background import each_minute

        add_kinds("breeding.animals.mending.kinds.KINDS")
        add_kind_words(program_words)
        add_found(*FOUND)
        each_minute("make the drawing of trees ready", tree_svg.make_ready)
