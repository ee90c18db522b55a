"""Addresses of the room `housing`."""

from django.urls import path

from breeding.housing.views import (
    change,
    course,
    divider,
    move,
    source,
    stay,
    system,
    tank,
    water,
    weighing,
    work,
)

app_name = "housing"
urlpatterns = [
    path("", tank.index, name="index"),
    path("list/", tank.tanks, name="tanks"),
    path("new/", tank.new, name="new"),
    path("fit-water/", water.limits, name="limits"),
    path("shared/", system.systems, name="systems"),
    path("shared/new/", system.new_system, name="new_system"),
    path("shared/<int:pk>/join/", system.join_system, name="join_system"),
    path("sources/", source.sources, name="sources"),
    path("sources/new/", source.new_source, name="new_source"),
    path("sources/<int:pk>/join/", source.join_source, name="join_source"),
    path("waters/", work.waters, name="waters"),
    path("changes/", change.changes, name="changes"),
    path("care/", work.works, name="works"),
    path("<int:pk>/change-water/", change.change, name="change"),
    path("<int:pk>/change-water/again/", change.again, name="again"),
    path("<int:pk>/care/", work.work, name="work"),
    path("care/<slug:kind>/<int:pk>/", work.tap_work, name="tap_work"),
    path("<int:pk>/over-time/", course.course, name="course"),
    path("<int:pk>/rhythm/", work.rhythm, name="rhythm"),
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
