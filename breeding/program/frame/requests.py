"""The request as views get it: signed in, with the program on it."""

from django.http import HttpRequest

from breeding.program.models import Person, Program


class PageRequest(HttpRequest):
    """For type checkers: what the middleware has put on every request that reaches a view."""

    user: Person
    program: Program
