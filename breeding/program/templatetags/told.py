"""What a library reads out of the code, in the language of whoever reads; for every template."""

from typing import Any

from django import template

from breeding.words.language import tell
from breeding.words.stored import read_stored

register = template.Library()


@register.filter
def told(name: object) -> str:
    """{{ column.header|told }}: the head of a column that is called as it is in the code."""
    return tell(str(name))


@register.filter
def as_read(text: object) -> str:
    """{{ picture.caption|as_read }}: what somebody typed, or the program's own words translated."""
    return read_stored(str(text or ""))


@register.filter
def cell_attributes(column: Any) -> str:
    """<td {{ column|cell_attributes }}>: put together once for all rows of a table."""
    held: str | None = vars(column).get("_cell_attributes")
    if held is None:
        held = vars(column)["_cell_attributes"] = column.attrs["td"].as_html()
    return held
