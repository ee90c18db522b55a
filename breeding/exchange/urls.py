"""Addresses of the room `exchange`."""

from django.urls import path

from breeding.exchange.views import given, taken

app_name = "exchange"
urlpatterns = [
    path("ancestry/", taken.index, name="index"),
    path("ancestry/take/", taken.take, name="take"),
    path("ancestry/<int:pk>/", taken.taken, name="taken"),
    path("ancestry/of/<int:pk>/", given.give, name="give"),
    # Open to whoever holds a file.
    path("check/", given.check, name="check"),
]
