"""The program's own settings."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from breeding.program.acts.once import say
from breeding.program.forms import ProgramForm
from breeding.program.frame.decorators import owners_only
from breeding.program.problems.beside import written
from breeding.program.queries import the_program
from breeding.program.services import save_settings
from breeding.words.language import tell


@owners_only
def settings(request: HttpRequest) -> HttpResponse:
    """The program's name, units and thresholds."""
    form = ProgramForm(request.POST or None, instance=the_program())
    if written(request, form, lambda: save_settings(form.instance), changing=form.instance):
        say(request, tell("The settings are saved."))
        return redirect("program:settings")
    return render(request, "program/settings.html", {"form": form})
