"""Django's card for the room `health`."""

from django.apps import AppConfig


class HealthConfig(AppConfig):
    name = "breeding.health"
    label = "health"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """What is put into a tank's water is marked in the course of that water."""
        from breeding.health.marks import treatment_marks
        from breeding.housing.course.marks import add_marks

        add_marks(treatment_marks)
