"""Addresses of the room `animals`."""

from django.urls import path

from breeding.animals import figure_views, views

app_name = "animals"
urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("species/", figure_views.species, name="species"),
    path("species/figures/<int:pk>/", figure_views.figures, name="figures"),
    path("<int:pk>/", views.detail, name="detail"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/state/", views.state, name="state"),
    path("<int:pk>/measure/", views.measure, name="measure"),
    path("<int:pk>/photograph/", views.photograph, name="photograph"),
    path("pictures/<int:pk>/", views.picture, name="picture"),
    path("pictures/<int:pk>/small/", views.thumbnail, name="thumbnail"),
]
