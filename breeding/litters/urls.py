"""Addresses of the room `litters`."""

from django.urls import path

from breeding.litters import views

app_name = "litters"
urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("<int:pk>/", views.detail, name="detail"),
    path("<int:pk>/after/", views.after, name="after"),
    path("<int:pk>/pup/", views.add_pup, name="add_pup"),
]
