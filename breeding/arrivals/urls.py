"""Addresses of the room `arrivals`."""

from django.urls import URLPattern

app_name = "arrivals"
urlpatterns: list[URLPattern] = []
