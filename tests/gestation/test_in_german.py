"""Reasons of an estimate in German."""

import datetime

from django.utils import translation

from breeding.gestation.reasons import Reason

FIRST, LAST = datetime.date(2026, 3, 3), datetime.date(2026, 3, 30)


def test_reasons_are_whole_german_sentences():
    seen = Reason("sign", FIRST, FIRST, 0.9, sign="copulation", male=1)
    shared = Reason("company", FIRST, LAST, 0.1, days=12)
    with translation.override("de"):
        assert seen.text(names={1: "Deneb"}) == "Paarung gesehen mit Deneb am 3. März 2026"
        assert shared.text() == (
            "im selben Wasser wie ein Männchen an 12 Tagen vom 3. bis 30. März 2026"
        )
