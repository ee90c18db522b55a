"""Addresses of the room `feeding`."""

from django.urls import path

from breeding.feeding.views import food, round

app_name = "feeding"
urlpatterns = [
    path("", round.index, name="index"),
    path("rounds/", round.rounds, name="rounds"),
    path("some/", round.some_animals, name="some_animals"),
    path("tank/<int:pk>/", round.tank, name="tank"),
    path("foods/", food.foods, name="foods"),
    path("foods/new/", food.new_food, name="new_food"),
    path("foods/<int:pk>/join/", food.join_food, name="join_food"),
    path("<int:pk>/", round.detail, name="detail"),
]
