"""Reading a list page: what opens each row, in order, and how many are counted."""

import csv
import io
import re

from django.urls import reverse

from tests.cast import words


def page_of(client, route, **query):
    answer = client.get(reverse(route), query)
    assert answer.status_code == 200
    return words(answer)


def plain(html):
    return " ".join(re.sub(r"<[^>]*>", "", html).split())


def names(client, route, **query):
    """What opens each row, as a reader sees it."""
    page = page_of(client, route, **query)
    return [plain(one) for one in re.findall(r'<td class="name"[^>]*>(.*?)</td>', page)]


def headings(client, route, **query):
    """The headings of the columns that are shown."""
    return [
        plain(one) for one in re.findall(r"<th\b.*?>(.*?)</th>", page_of(client, route, **query))
    ]


def taken_out(client, route, **query):
    """The list as a file: its headings, and what stands in each row."""
    answer = client.get(reverse(route), query | {"as": "csv"})
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"].startswith("attachment; filename=")
    assert answer.content.startswith(b"\xef\xbb\xbf")
    text = answer.content.decode("utf-8-sig")
    headings, *rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    return headings, rows
