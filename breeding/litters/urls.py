"""Addresses of the room `litters`."""

from django.urls import path

from breeding.litters.views import litter, pup

app_name = "litters"
urlpatterns = [
    path("", litter.index, name="index"),
    path("new/", litter.new, name="new"),
    path("<int:pk>/", litter.detail, name="detail"),
    path("<int:pk>/after/", litter.after, name="after"),
    path("<int:pk>/pup/", pup.add_pup, name="add_pup"),
]
