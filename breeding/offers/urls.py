"""Addresses of the room `offers`."""

from django.urls import path

from breeding.offers.views import offer, sales

app_name = "offers"
urlpatterns = [
    path("sales/<int:litter_pk>/", sales.sales, name="sales"),
    # Open to whoever has the token.
    path("o/<str:token>/", offer.offer, name="offer"),
    path("o/<str:token>/<str:role>/", offer.picture, name="picture"),
]
