"""Pages travel packed: a phone beside the tanks has a slow line."""

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

PACKED = ("text/", "application/json", "application/manifest+json", "image/svg+xml")


class PackingMiddleware(GZipMiddleware):
    """Packs written answers, but not pictures and archives, nor what shows a secret.

    How long a packed page is can tell a secret in it to whoever may put words of their own beside
    it and watch the line (the attack called BREACH). The token of our forms is masked anew on
    every page, the one that lets a form count once is new on every page, and Django's middleware
    adds up to 100 bytes by chance to each answer. Pages that show anything else that is secret (a
    link to sign in, a code, the address of a calendar) say that they may not be kept, and are not
    packed at all.
    """

    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        if response.streaming or "no-store" in response.headers.get("Cache-Control", ""):
            return response
        if not response.headers.get("Content-Type", "").startswith(PACKED):
            return response
        return super().process_response(request, response)
