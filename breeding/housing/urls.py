"""Addresses of the room `housing`."""

from django.urls import path

from breeding.housing import views

app_name = "housing"
urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("<int:pk>/", views.detail, name="detail"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("move/<int:animal_pk>/", views.move, name="move"),
]
