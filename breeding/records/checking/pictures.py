"""Pictures that look like another animal than the one they are filed with."""

from collections.abc import Iterator

from django.urls import reverse

from breeding.identity.alike import MOST_ON_PAGE, alike_on_record
from breeding.records.checking.finding import Finding
from breeding.records.checking.gathered import Gathered
from breeding.words.language import tell


def looks_like_another(_: Gathered) -> Iterator[Finding]:
    """The latest of them, as the page shows them side by side."""
    for one in alike_on_record(MOST_ON_PAGE):
        mend = tell("Look at the two side by side, and say whether they are one animal or two.")
        yield Finding(one.animal.full_name, one.words, mend, reverse("identity:alike"))
