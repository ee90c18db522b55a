"""Addresses of the room `animals`."""

from django.urls import path

from breeding.animals.views import animal, family, named, photograph, species, strain

app_name = "animals"
urlpatterns = [
    path("", animal.index, name="index"),
    path("new/", animal.new, name="new"),
    path("named/", named.named, name="named"),
    path("species/", species.species, name="species"),
    path("species/figures/<int:pk>/", species.figures, name="figures"),
    path("species/new/", species.new_species, name="new_species"),
    path("strains/", strain.strains, name="strains"),
    path("strains/new/", strain.new_strain, name="new_strain"),
    path("strains/<int:pk>/join/", strain.join_strain, name="join_strain"),
    path("<int:pk>/", animal.detail, name="detail"),
    path("<int:pk>/family/", family.family, name="family"),
    path("<int:pk>/pictures/", photograph.pictures, name="pictures"),
    path("<int:pk>/edit/", animal.edit, name="edit"),
    path("<int:pk>/state/", animal.state, name="state"),
    path("<int:pk>/measure/", animal.measure, name="measure"),
    path("<int:pk>/photograph/", photograph.photograph, name="photograph"),
    path("pictures/<int:pk>/", photograph.picture, name="picture"),
    path("pictures/<int:pk>/small/", photograph.thumbnail, name="thumbnail"),
    path("pictures/<int:pk>/face/", photograph.face, name="face"),
]
