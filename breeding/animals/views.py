"""Pages of the room `animals`."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def index(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def new(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def species(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def detail(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def edit(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def state(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def measure(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def photograph(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def picture(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def thumbnail(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")
