"""Pages of the room `pairings`."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def index(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def new(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def log(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def season(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def detail(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def separate(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def withdraw(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def sighting(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def female(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def scan(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def outcome(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")
