"""Papers of origin in words, for pages."""

from breeding.buyers.templatetags.wishes import register
from breeding.origin.models import OriginPaper
from breeding.origin.proof import paper_words


@register.filter
def paper(row: OriginPaper) -> str:
    """{{ row|paper }}: source code C, number 12/2020, ..."""
    return paper_words(row)
