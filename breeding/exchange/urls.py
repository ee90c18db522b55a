"""Addresses of the room `exchange`."""

from django.urls import path

from breeding.exchange.views import given, keys, proving, said_one, taken

app_name = "exchange"
urlpatterns = [
    path("ancestry/", taken.index, name="index"),
    path("ancestry/take/", taken.take, name="take"),
    path("ancestry/<int:pk>/", taken.taken, name="taken"),
    path("ancestry/of/<int:pk>/", given.give, name="give"),
    path("ancestry/<int:pk>/update/", given.update, name="update"),
    path("ancestry/keys/", keys.keys, name="keys"),
    path("ancestry/keys/known/", keys.know, name="know"),
    path("ancestry/keys/own/", keys.own_key, name="own_key"),
    path("ancestry/keys/file/", keys.key_file, name="key_file"),
    path("ancestry/one/", said_one.said_one, name="said_one"),
    path("ancestry/prove/<int:pk>/", proving.prove, name="prove"),
    # Open to whoever holds a file.
    path("check/", given.check, name="check"),
]
