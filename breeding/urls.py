"""Addresses: one prefix a room; the front page is the day."""

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

urlpatterns = [
    path("", include("breeding.agenda.urls")),
    path("", include("breeding.program.urls")),
    path("animals/", include("breeding.animals.urls")),
    path("tanks/", include("breeding.housing.urls")),
    path("pairings/", include("breeding.pairings.urls")),
    path("litters/", include("breeding.litters.urls")),
    path("planning/", include("breeding.planning.urls")),
    path("buyers/", include("breeding.buyers.urls")),
    path("records/", include("breeding.records.urls")),
    # One door: the read-only look at every row has no sign-in page of its own.
    path("inspect/login/", RedirectView.as_view(pattern_name="program:sign_in")),
    path("inspect/", admin.site.urls),
]

handler400 = "breeding.program.views.bad_request"
handler403 = "breeding.program.views.forbidden"
handler404 = "breeding.program.views.not_found"
handler500 = "breeding.program.views.server_error"
