"""Addresses of the room `origin`."""

from django.urls import path

from breeding.origin.views import paper, proof

app_name = "origin"
urlpatterns = [
    path("<int:animal_pk>/", proof.detail, name="detail"),
    path("<int:animal_pk>/pdf/", proof.file, name="file"),
    path("<int:animal_pk>/paper/", paper.paper_new, name="paper_new"),
    path("paper/<int:pk>/document/", paper.document, name="document"),
]
