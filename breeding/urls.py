"""Addresses: one prefix a room; the front page is the day."""

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

admin.autodiscover()

urlpatterns = [
    path("", include("breeding.agenda.urls")),
    path("", include("breeding.program.urls")),
    path("animals/", include("breeding.animals.urls")),
    path("who/", include("breeding.identity.urls")),
    path("tanks/", include("breeding.housing.urls")),
    path("feeding/", include("breeding.feeding.urls")),
    path("health/", include("breeding.health.urls")),
    path("pairings/", include("breeding.pairings.urls")),
    path("litters/", include("breeding.litters.urls")),
    path("traits/", include("breeding.traits.urls")),
    path("planning/", include("breeding.planning.urls")),
    path("buyers/", include("breeding.buyers.urls")),
    path("arrivals/", include("breeding.arrivals.urls")),
    path("sheets/", include("breeding.sheets.urls")),
    path("", include("breeding.exchange.urls")),
    path("origin/", include("breeding.origin.urls")),
    path("offers/", include("breeding.offers.urls")),
    path("help/", include("breeding.help.urls")),
    path("", include("breeding.finding.urls")),
    path("", include("breeding.records.urls")),
    # One door: the read-only look at every row has no sign-in page of its own.
    path("inspect/login/", RedirectView.as_view(pattern_name="program:sign_in")),
    path("inspect/", admin.site.urls),
]

handler400 = "breeding.program.views.trouble.bad_request"
handler403 = "breeding.program.views.trouble.forbidden"
handler404 = "breeding.program.views.trouble.not_found"
handler500 = "breeding.program.views.trouble.server_error"
