"""Pages of the room `agenda`."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def day(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def answer(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")
