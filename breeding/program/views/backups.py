"""Backups as owners see them: how old, how big, one taken now, one to carry away."""

from datetime import date

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from breeding.program import clock
from breeding.program.acts.once import act_once, say
from breeding.program.backup import daily, shelf
from breeding.program.backup.problem import BackupError
from breeding.program.backup.writing import megabytes
from breeding.program.frame.decorators import owners_only
from breeding.program.frame.requests import PageRequest
from breeding.words.language import tell, tell_many


@owners_only
def backups(request: PageRequest) -> HttpResponse:
    """What stands on the shelf; taking one more."""
    if request.method == "POST":
        return _take_one(request)
    today = clock.today()
    context = {
        "found": [(one, megabytes(one.size), _age(one, today)) for one in shelf.on_the_shelf()],
        "worry": daily.worry(today, request.program.zone),
        "is_off": shelf.shelf() is None,
        "place": shelf.shelf_or_home(),
        "same_disk": shelf.is_on_the_same_disk(),
    }
    return render(request, "program/backups.html", context)


@owners_only
@require_safe
def backup(request: PageRequest, name: str) -> FileResponse:
    """The file itself; only what stands on the shelf."""
    for one in shelf.on_the_shelf():
        if one.file.name == name:
            answer = FileResponse(one.file.open("rb"), as_attachment=True, filename=name)
            answer.headers["Cache-Control"] = "private, no-store"
            return answer
    raise Http404(tell("There is no backup of this name."))


def _take_one(request: PageRequest) -> HttpResponse:
    """Outside of any transaction of this request, which would keep every writer waiting."""
    try:
        taken = daily.take(clock.now())
    except daily.UnderWayError:
        messages.info(request, tell("A backup is being taken just now; look again in a while."))
    except BackupError as problem:
        messages.error(request, tell("No backup was taken. {why}", why=problem))
    else:
        if taken:
            act_once(request, lambda: None)
            say(
                request,
                tell(
                    "Backed up and checked: {file}, {size}.",
                    file=taken.file.name,
                    size=megabytes(taken.size),
                ),
            )
    return redirect("program:backups")


def _age(one: shelf.Kept, today: date) -> str:
    days = (today - timezone.localdate(one.made_at)).days
    if days in (0, 1):
        return tell("yesterday") if days else tell("today")
    return tell_many("{number} day ago", "{number} days ago", days)
