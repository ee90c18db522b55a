"""Addresses of the room `animals`."""

from django.urls import path

from breeding.animals.views import animal, photograph, species

app_name = "animals"
urlpatterns = [
    path("", animal.index, name="index"),
    path("new/", animal.new, name="new"),
    path("species/", species.species, name="species"),
    path("species/figures/<int:pk>/", species.figures, name="figures"),
    path("<int:pk>/", animal.detail, name="detail"),
    path("<int:pk>/edit/", animal.edit, name="edit"),
    path("<int:pk>/state/", animal.state, name="state"),
    path("<int:pk>/measure/", animal.measure, name="measure"),
    path("<int:pk>/photograph/", photograph.photograph, name="photograph"),
    path("pictures/<int:pk>/", photograph.picture, name="picture"),
    path("pictures/<int:pk>/small/", photograph.thumbnail, name="thumbnail"),
]
