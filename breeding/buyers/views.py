"""Pages of the room `buyers`."""

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


def reserve(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def sheet_new(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def sheet(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def sheet_file(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")


def sheet_picture(request: HttpRequest, **named: object) -> HttpResponse:
    return render(request, "base.html")
