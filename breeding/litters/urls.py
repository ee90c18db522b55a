"""Addresses of the room `litters`."""

from django.urls import path

from breeding.litters.views import birth, feeding, found, litter, losses, pup, verdict, weighing

app_name = "litters"
urlpatterns = [
    path("", litter.index, name="index"),
    path("new/", litter.new, name="new"),
    path("birth/<int:pk>/", birth.birth, name="birth"),
    path("<int:pk>/", litter.detail, name="detail"),
    path("<int:pk>/after/", litter.after, name="after"),
    path("<int:pk>/weigh/", weighing.weigh, name="weigh"),
    path("<int:pk>/feed/", feeding.feed, name="feed"),
    path("<int:pk>/pup/", pup.add_pup, name="add_pup"),
    path("<int:pk>/join/", pup.join, name="join"),
    path("found/", found.found, name="found"),
    path("losses/", losses.losses, name="losses"),
    path("pup/<int:pk>/move/", pup.move_pup, name="move_pup"),
    path("<int:pk>/let-go/", verdict.let_go, name="let_go"),
    path("verdict/<int:animal_pk>/", verdict.verdict, name="verdict"),
]
