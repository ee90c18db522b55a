"""`manage.py try_spots`: how often the pictures of this program are known again."""

from typing import Any

from breeding.identity.measured import Tried, tried
from breeding.program.language.commands import SpokenCommand
from breeding.words.language import message, tell
from breeding.words.numbers import percent


class Command(SpokenCommand):
    """Each marked picture is held against all the others, as if nobody knew whose it is."""

    help = message("Say how often the pictures of this program are known again by their spots.")

    def handle(self, *args: Any, **options: Any) -> None:
        found = tried()
        for line in lines_of(found):
            self.stdout.write(line)


def lines_of(found: list[Tried]) -> list[str]:
    """What the keeper reads; shares only where there is something to share."""
    twice = [one for one in found if one.has_another]
    if not twice:
        return [
            tell(
                "No animal has two pictures whose discs are marked; there is nothing to try yet. "
                "Marked pictures: {number}.",
                number=len(found),
            )
        ]
    named = [one for one in found if one.is_named]
    lines = [
        tell(
            "Known again, first of all: {right} of {all} ({share}).",
            right=(right := sum(one.is_right for one in twice)),
            all=len(twice),
            share=percent(right / len(twice)),
        )
    ]
    if named:
        lines.append(
            tell(
                "Named with 95 % or more: {number}; right: {right} ({share}).",
                number=len(named),
                right=(sure := sum(one.is_right for one in named)),
                share=percent(sure / len(named)),
            )
        )
    alone = [one for one in found if not one.has_another]
    if alone:
        lines.append(
            tell(
                "Pictures of animals without a second one: {number}; wrongly named: {wrong}.",
                number=len(alone),
                wrong=sum(one.is_named for one in alone),
            )
        )
    return lines
