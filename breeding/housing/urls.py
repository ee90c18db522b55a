"""Addresses of the room `housing`."""

from django.urls import path

from breeding.housing.views import divider, move, stay, system, tank, water, weighing

app_name = "housing"
urlpatterns = [
    path("", tank.index, name="index"),
    path("list/", tank.tanks, name="tanks"),
    path("new/", tank.new, name="new"),
    path("fit-water/", water.limits, name="limits"),
    path("shared/", system.systems, name="systems"),
    path("shared/new/", system.new_system, name="new_system"),
    path("shared/<int:pk>/join/", system.join_system, name="join_system"),
    path("<int:pk>/", tank.detail, name="detail"),
    path("<int:pk>/edit/", tank.edit, name="edit"),
    path("<int:pk>/look/", tank.look, name="look"),
    path("<int:pk>/move-all/", move.move_all, name="move_all"),
    path("<int:pk>/close-divider/", divider.close_divider, name="close_divider"),
    path("<int:pk>/open-divider/", divider.open_divider, name="open_divider"),
    path("<int:pk>/weigh/", weighing.weigh, name="weigh"),
    path("<int:pk>/water/", water.water_test, name="water_test"),
    path("water/", water.water_tests, name="water_tests"),
    path("water/<int:pk>/", water.water, name="water"),
    path("move/<int:animal_pk>/", move.move, name="move"),
    path("stays/<int:animal_pk>/", stay.stays, name="stays"),
    path("stays/<int:animal_pk>/earlier/", stay.earlier, name="earlier"),
    path("stay/<int:pk>/correct/", stay.correct, name="correct"),
]
