"""How the history says a value that it keeps."""

import pytest
from django.utils import translation

from breeding.buyers.models import HandOver
from breeding.program.acts.history import value_words


@pytest.mark.parametrize(("language", "said"), [("en", "1250.50"), ("de", "1250,50")])
def test_a_price_has_the_decimal_mark_of_the_language(language, said):
    with translation.override(language):
        assert value_words(HandOver._meta.get_field("price"), "1250.50", {}) == said
