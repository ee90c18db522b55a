"""Where somebody is signed in."""

from django.conf import settings
from django.db import models


class SignedIn(models.Model):
    """One device on which a person is signed in; it ends together with its session."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="signed_in"
    )
    session_key = models.CharField(max_length=40, unique=True)
    device = models.CharField(max_length=60, help_text="In plain words: “a phone, Firefox”.")
    began_at = models.DateTimeField()
    seen_on = models.DateField(help_text="The day of the last page that was asked for.")

    class Meta:
        app_label = "program"
        verbose_name_plural = "signed in"
        ordering = ["-seen_on", "-began_at"]

    def __str__(self) -> str:
        return f"{self.person} on {self.device}"
