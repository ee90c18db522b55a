"""Addresses of the room `housing`."""

from django.urls import path

from breeding.housing import views

app_name = "housing"
urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("fit-water/", views.limits, name="limits"),
    path("<int:pk>/", views.detail, name="detail"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/move-all/", views.move_all, name="move_all"),
    path("<int:pk>/close-divider/", views.close_divider, name="close_divider"),
    path("<int:pk>/open-divider/", views.open_divider, name="open_divider"),
    path("<int:pk>/water/", views.water_test, name="water_test"),
    path("water/<int:pk>/", views.water, name="water"),
    path("water/<int:pk>/withdraw/", views.water_withdraw, name="water_withdraw"),
    path("move/<int:animal_pk>/", views.move, name="move"),
    path("stays/<int:animal_pk>/", views.stays, name="stays"),
    path("stays/<int:animal_pk>/earlier/", views.earlier, name="earlier"),
    path("stay/<int:pk>/correct/", views.correct, name="correct"),
    path("stay/<int:pk>/withdraw/", views.withdraw_stay, name="withdraw_stay"),
]
