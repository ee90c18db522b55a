"""The page of words: every term a keeper meets, with an example and its source."""

import unicodedata

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.program.frame.requests import PageRequest
from breeding.program.kinds import kept_words
from breeding.program.offline.readable import readable_offline
from breeding.program.reference.glossary import Term, terms
from breeding.words.language import tell


@readable_offline
@require_safe
def words(request: PageRequest) -> HttpResponse:
    """In the order of the alphabet of whoever reads; of rays only where rays are kept."""
    said = [
        Term(one.key, tell(one.words), tell(one.text), tell(one.example), tell(one.source))
        for one in terms().values()
        if not one.of_rays or kept_words().has_spine
    ]
    said.sort(key=lambda one: unicodedata.normalize("NFKD", one.words).casefold())
    return render(request, "help/words.html", {"terms": said})
