"""Addresses of the room `feeding`."""

from django.urls import URLPattern

app_name = "feeding"
urlpatterns: list[URLPattern] = []
