"""A form as a browser sends it: what stands in its fields, what is ticked, and what was typed."""

from collections.abc import Mapping
from html.parser import HTMLParser
from typing import Any

NOT_SENT = ("file", "submit", "button", "image", "reset")
LOOK_AGAIN = '<li class="info">'  # something is said above a form, and it is to be saved again


class _Reader(HTMLParser):
    """The forms of a page that are sent by post: for each of their fields what it sends."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[dict[str, list[str]]] = []
        self.questions: set[str] = set()  # to be answered, as `sure` and the code of a doubt
        self.is_open = False
        self.choosing: tuple[str, bool] = ("", False)
        self.writing = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        name, kind = told.get("name", ""), told.get("type", "text")
        if tag == "form":
            self.is_open = told.get("method") == "post"
            self.forms += [{}] if self.is_open else []
        if not self.is_open:
            return
        form = self.forms[-1]
        if tag == "select":
            self.choosing = (name, False)
            form[name] = []
        elif tag == "option" and self.choosing[0]:
            self._choose(form, told)
        elif tag == "textarea":
            self.writing = name
            form[name] = [""]
        elif tag == "input" and name and kind not in NOT_SENT:
            if name == "sure":
                self.questions.add(told.get("value", ""))
            is_ticked = kind in ("radio", "checkbox")
            if not is_ticked or "checked" in told:
                form.setdefault(name, []).append(told.get("value", "on" if is_ticked else ""))

    def _choose(self, form: dict[str, list[str]], told: Mapping[str, str]) -> None:
        """The first option is sent where none is selected."""
        name, is_chosen = self.choosing
        if "selected" in told or (not form[name] and not is_chosen):
            form[name] = [told.get("value", "")]
            self.choosing = (name, "selected" in told)

    def handle_data(self, data: str) -> None:
        if self.writing:
            self.forms[-1][self.writing] = [data.strip()]

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.is_open = False
        elif tag == "select":
            self.choosing = ("", False)
        elif tag == "textarea":
            self.writing = ""


def filled_in(page: str, typed: Mapping[str, Any]) -> dict[str, Any] | None:
    """The form of a page that has most of these fields, sent with them; None where there is none.

    >>> filled_in('<form method="post"><input name="a" value="1"><input name="b"></form>', {"b": 2})
    {'a': ['1'], 'b': 2}
    """
    reader = _Reader()
    reader.feed(page)
    own = max(reader.forms, key=lambda form: len(typed.keys() & form.keys()), default=None)
    return None if own is None else {**own, **typed}


def answered(page: str, typed: Mapping[str, Any]) -> dict[str, Any] | None:
    """The same form after it asked something: everything that it asks is answered; else None."""
    reader = _Reader()
    reader.feed(page)
    sent = filled_in(page, typed)
    asks = reader.questions or LOOK_AGAIN in page
    if sent is None or not (asks or "sure_reason" in sent):
        return None
    return {**sent, "sure": sorted(reader.questions), "sure_reason": "It has to be"}
