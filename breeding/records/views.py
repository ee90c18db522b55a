"""Pages of the room `records`."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def index(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def columns(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def write(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")
