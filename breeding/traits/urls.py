"""Addresses of the room `traits`."""

from django.urls import path

from breeding.traits.views import look, trait

app_name = "traits"
urlpatterns = [
    path("", trait.index, name="index"),
    path("new/", trait.new, name="new"),
    path("look/", look.look, name="look"),
    path("litters/<int:pk>/", look.litter, name="litter"),
    path("<int:pk>/", trait.detail, name="detail"),
]
