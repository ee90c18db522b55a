"""Where somebody is signed in."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from breeding.program.access.devices import in_own_language
from breeding.words.language import tell


class SignedIn(models.Model):
    """One device on which a person is signed in; it ends together with its session."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="signed_in"
    )
    session_key = models.CharField(max_length=40, unique=True)
    device = models.CharField(max_length=60, help_text=_("In plain words: “a phone, Firefox”."))
    began_at = models.DateTimeField()
    seen_on = models.DateField(help_text=_("The day of the last page that was asked for."))

    class Meta:
        app_label = "program"
        verbose_name_plural = _("signed in")
        ordering = ["-seen_on", "-began_at"]

    def __str__(self) -> str:
        return tell("{person} on {device}", person=self.person, device=self.device_words)

    @property
    def device_words(self) -> str:
        """The device as it is called in the language of whoever reads it."""
        return in_own_language(self.device)
