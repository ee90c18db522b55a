"""Addresses of the room `buyers`."""

from django.urls import path

from breeding.buyers import views

app_name = "buyers"
urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("<int:pk>/", views.detail, name="detail"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("reserve/<int:animal_pk>/", views.reserve, name="reserve"),
    path("reservation/<int:pk>/withdraw/", views.withdraw, name="withdraw"),
    path("sheet/new/<int:animal_pk>/", views.sheet_new, name="sheet_new"),
    path("sheet/<int:pk>/", views.sheet, name="sheet"),
    path("sheet/<int:pk>/link/", views.sheet_link, name="sheet_link"),
    path("sheet/<int:pk>/withdraw/", views.sheet_withdraw, name="sheet_withdraw"),
    path("sheet/<int:pk>/pdf/", views.sheet_file, name="sheet_file"),
    path("sheet/<int:pk>/picture/<str:role>/", views.sheet_picture, name="sheet_picture"),
    path("sharing/", views.sharing, name="sharing"),
    # Short, for they are printed as a code; open to whoever has the token.
    path("s/<str:token>/", views.shared, name="shared"),
    path("s/<str:token>/pdf/", views.shared_file, name="shared_file"),
    path("s/<str:token>/<str:role>/", views.shared_picture, name="shared_picture"),
]
