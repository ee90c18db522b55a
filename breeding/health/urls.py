"""Addresses of the room `health`."""

from django.urls import URLPattern

app_name = "health"
urlpatterns: list[URLPattern] = []
