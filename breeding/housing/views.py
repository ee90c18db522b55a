"""Pages of the room `housing`."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def index(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def new(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def detail(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def edit(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def move(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")
