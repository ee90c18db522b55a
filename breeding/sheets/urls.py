"""Addresses of the room `sheets`."""

from django.urls import path

from breeding.sheets.views import shared, sharing, sheet

app_name = "sheets"
urlpatterns = [
    path("", sheet.index, name="index"),
    path("new/<int:animal_pk>/", sheet.new, name="new"),
    path("<int:pk>/", sheet.detail, name="detail"),
    path("<int:pk>/link/", sheet.link, name="link"),
    path("<int:pk>/pdf/", sheet.file, name="file"),
    path("<int:pk>/picture/<str:role>/", sheet.picture, name="picture"),
    path("sharing/", sharing.sharing, name="sharing"),
    # Short, for they are printed as a code; open to whoever has the token.
    path("s/<str:token>/", shared.shared, name="shared"),
    path("s/<str:token>/pdf/", shared.shared_file, name="shared_file"),
    path("s/<str:token>/<str:role>/", shared.shared_picture, name="shared_picture"),
]
