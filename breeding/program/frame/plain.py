"""Templates that put numbers as they are into drawings, fields and attributes.

Django writes every number of a template with the decimal mark of the reader's language, which no
drawing and no field understands. What a reader reads goes through `words/` and has its mark there.
"""

from typing import Any

from django.http import HttpRequest
from django.template.backends.django import DjangoTemplates, Template
from django.template.context import make_context
from django.utils.safestring import SafeString


class _PlainTemplate(Template):
    def render(
        self, context: dict[str, Any] | None = None, request: HttpRequest | None = None
    ) -> SafeString:
        whole = make_context(context, request, autoescape=self.backend.engine.autoescape)
        whole.use_l10n = False
        return self.template.render(whole)


class PlainTemplates(DjangoTemplates):
    """Django's templates, whose numbers stay as they are in every language."""

    def from_string(self, template_code: str) -> Template:
        return _PlainTemplate(self.engine.from_string(template_code), self)

    def get_template(self, template_name: str) -> Template:
        found = super().get_template(template_name)
        return _PlainTemplate(found.template, self)
