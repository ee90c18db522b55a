"""Everything the program holds, taken out as one file; for owners."""

import errno
import tempfile

from django.conf import settings
from django.http import FileResponse, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.program import clock
from breeding.program.frame.decorators import owners_only
from breeding.program.frame.requests import PageRequest
from breeding.records.archive.kinds import KINDS
from breeding.records.archive.writing import write_archive
from breeding.words.language import tell

FULL = (errno.ENOSPC, errno.EDQUOT)


@owners_only
@require_safe
def take_out(request: PageRequest) -> HttpResponse:
    """What goes out, what does not, and the button."""
    return _page(request)


@owners_only
@require_safe
def archive(request: PageRequest) -> HttpResponseBase:
    """The file itself. It lies beside the records, without a name, until it is sent."""
    passing = tempfile.TemporaryFile(dir=settings.HOME)  # noqa: SIM115  (the response closes it)
    try:
        write_archive(passing, now=clock.now())
    except OSError as problem:
        passing.close()
        if problem.errno not in FULL:
            raise
        return _page(request, trouble=tell("The disk is full: there is no room for the file."))
    passing.seek(0)
    name = f"rayward-{clock.today().isoformat()}.zip"
    answer = FileResponse(passing, as_attachment=True, filename=name)
    answer.headers["Cache-Control"] = "private, no-store"
    return answer


def _page(request: PageRequest, *, trouble: str = "") -> HttpResponse:
    context = {"kinds": [kind for kind in KINDS if not kind.is_secret], "trouble": trouble}
    return render(request, "records/take_out.html", context, status=507 if trouble else 200)
