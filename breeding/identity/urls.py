"""Addresses of the room `identity`."""

from django.urls import path

from breeding.identity.views import alike, disc, who

app_name = "identity"
urlpatterns = [
    path("", who.who, name="who"),
    path("alike/", alike.alike, name="alike"),
    path("photograph/<int:pk>/mark/", disc.mark, name="mark"),
    path("spots/<int:pk>/", disc.spots, name="spots"),
    path("spots/<int:pk>/use/", disc.use, name="use"),
    path("spots/<int:pk>/compare/", disc.compare, name="compare"),
    path("spots/<int:pk>/disc/", disc.square, name="square"),
    path("<int:pk>/", who.answer, name="answer"),
    path("<int:pk>/mark/", disc.mark_untold, name="mark_untold"),
    path("<int:pk>/picture/", who.picture, name="picture"),
    path("<int:pk>/small/", who.thumbnail, name="thumbnail"),
]
