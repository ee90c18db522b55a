"""The season line: it says what is known, and no two words ever touch."""

import datetime
import re
from functools import partial
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.pairings.season.drawn.layout import (
    BOLD_STYLES,
    LabelRows,
    Scale,
    lay_bars,
    months,
    shortened,
    text_width,
    wrapped,
)
from breeding.pairings.season.drawn.line import CSS, KEY, Company, Mark, Season, describe, draw
from tests import cast
from tests.tries import tries

pytestmark = pytest.mark.one_database("drawing of facts that are read already")

TODAY = datetime.date(2026, 11, 25)
SVG = "{http://www.w3.org/2000/svg}"


ago = partial(cast.ago, today=TODAY)


def spread(first: datetime.date, *shares: float) -> tuple[tuple[datetime.date, ...], list[float]]:
    days = tuple(first + datetime.timedelta(days=number) for number in range(len(shares)))
    return days, list(shares)


def vega(**changes: Any) -> Season:
    """Mid-term: with Altair in September, mated on the 12th, due from 7 December on."""
    facts: dict[str, Any] = {
        "name": "Vega",
        "state": "pregnant, 93 %",
        "company": [Company("Altair", ago(90), ago(62))],
        "apart": [(ago(61), None)],
        "signs": [Mark(ago(78), "fresh bite marks", 0.6), Mark(ago(74), "mating seen", 1.5)],
        "mating": spread(ago(80), 0.1, 0.1, 0.1, 0, 0, 0, 0.7),
        "window": (datetime.date(2026, 12, 7), datetime.date(2027, 1, 13)),
        "most_even": datetime.date(2026, 12, 26),
        "due": spread(datetime.date(2026, 12, 20), *[0.1] * 10),
    }
    return Season(**(facts | changes))


def tree(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def words(svg: str) -> list[str]:
    return ["".join(text.itertext()) for text in tree(svg).iter(f"{SVG}text")]


def test_the_line_says_who_what_when_and_the_window() -> None:
    said = words(draw(vega(), asof=TODAY, width=660))
    for expected in (
        "today", "Altair", "apart since 25 Sep", "fresh bite marks 8 Sep", "mating seen 12 Sep",
        "due 7 Dec to 13 Jan", "possible mating days", "Oct", "2026", "2027",
    ):  # fmt: skip
        assert expected in said


@pytest.mark.parametrize("width", [320, 360, 660])
def test_at_every_width_the_window_today_and_the_male_are_named(width: int) -> None:
    said = words(draw(vega(), asof=TODAY, width=width))
    assert {"today", "Altair", "due 7 Dec to 13 Jan"} <= set(said)


def test_the_text_alternative_says_the_same_facts() -> None:
    assert describe(vega(separations=[ago(61)]), TODAY) == (
        "Vega, pregnant, 93 %. With Altair from 27 August 2026 to 24 September 2026. Apart since "
        "25 September 2026. Seen: fresh bite marks 8 September 2026; mating seen 12 September "
        "2026. Possible mating days 6 September 2026 to 12 September 2026, most likely "
        "12 September 2026. Due 7 December 2026 to 13 January 2027, middle date 26 December 2026. "
        "Today is 25 November 2026."
    )


def test_the_text_alternative_names_an_ended_window_a_birth_and_a_certain_mating() -> None:
    told = describe(
        vega(
            company=[Company("Deneb", ago(3))],
            apart=[],
            separations=[ago(61)],
            mating=spread(ago(74), 1.0),
            window=(ago(30), ago(9)),
            births=[ago(7)],
        ),
        TODAY,
        lambda on: f"{on:%d.%m.}",
    )
    assert "With Deneb since 22.11." in told
    assert "Separated on 25.09." in told
    assert "Mated on 12.09." in told
    assert "Was due 26.10. to 16.11., middle date 26.12." in told
    assert "Gave birth on 18.11." in told


def test_a_birth_before_its_window_is_not_said_to_have_been_due_on_days_to_come() -> None:
    early = vega(window=(ago(-2), ago(-30)), births=[ago(7)], due=((), ()))
    told = describe(early, TODAY)
    assert "Would have been due 27 November 2026 to 25 December 2026" in told
    drawn = words(draw(early, asof=TODAY, width=660))
    assert "would have been due 27 Nov to 25 Dec" in drawn
    later = describe(early, TODAY + datetime.timedelta(days=31))
    assert "Was due 27 November" in later


def test_a_screen_reader_gets_title_and_description_with_ids_of_their_own() -> None:
    svg = tree(draw(vega(), asof=TODAY, width=360, id="line-7-phone"))
    assert svg.get("role") == "img"
    assert svg.get("aria-labelledby") == "line-7-phone-title line-7-phone-desc"
    title, description = svg.find(f"{SVG}title"), svg.find(f"{SVG}desc")
    assert title is not None
    assert description is not None
    assert title.text == "Season of Vega"
    assert title.get("id") == "line-7-phone-title"
    assert description.get("id") == "line-7-phone-desc"
    assert description.text == describe(vega(), TODAY)


def test_names_cannot_break_out_of_the_drawing() -> None:
    nasty = "</svg><script>alert('1')</script> & \"Co\"\x07"
    season = vega(
        name=nasty,
        state=nasty,
        company=[Company(nasty, ago(90), ago(20))],
        signs=[Mark(ago(80), nasty, 1)],
    )
    drawn = draw(season, asof=TODAY, width=660, heading=True, id='a"b<c')
    assert "<script" not in drawn
    assert not list(tree(drawn).iter(f"{SVG}script"))


def test_seasons_on_one_sheet_share_one_time_axis() -> None:
    late = vega(name="Adhara", company=[Company("Rigel", ago(200), ago(190))])
    svg = tree(draw([vega(), late], asof=TODAY, width=660))
    todays = {
        line.get("x1") for line in svg.iter(f"{SVG}line") if line.get("class") == "season-today"
    }
    assert len(todays) == 1
    said = words(draw([vega(), late], asof=TODAY, width=660))
    assert "Vegapregnant, 93 %" in said
    assert "Adharapregnant, 93 %" in said


def test_a_day_stands_where_plain_arithmetic_puts_it() -> None:
    """Own arithmetic: 100 days over 512 less two margins of 6."""
    scale = Scale(datetime.date(2026, 1, 1), datetime.date(2026, 4, 10), 512)
    assert scale.per_day == 5
    assert scale.at(datetime.date(2026, 1, 1)) == 6
    assert scale.middle(datetime.date(2026, 1, 11)) == 58.5
    assert scale.end(datetime.date(2026, 4, 10)) == 506


def test_a_window_gone_by_reads_was_due_and_a_birth_is_marked() -> None:
    season = vega(window=(ago(40), ago(9)), births=[ago(7)], due=((), ()))
    for width in (320, 660):
        said = words(draw(season, asof=TODAY, width=width))
        assert "was due 16 Oct to 16 Nov" in said
        assert "born 18 Nov" in said
        assert "today" in said


def test_signs_without_room_are_listed_by_kind_and_none_is_lost() -> None:
    marks = [Mark(ago(90 - 3 * number), "fresh bite marks", 0.6) for number in range(12)]
    marks.append(Mark(ago(89), "mating seen", 1.5))
    drawn = draw(vega(signs=marks), asof=TODAY, width=360)
    said = " ".join(words(drawn)).replace("\u00a0", " ")
    assert "mating seen 28 Aug" in said
    assert "also seen: fresh bite marks" in said
    ticks = [line for line in tree(drawn).iter(f"{SVG}line") if line.get("class") == "season-sign"]
    assert len(ticks) == 13
    assert all(line.find(f"{SVG}title") is not None for line in ticks)


def test_two_males_at_a_time_lie_in_two_lanes() -> None:
    season = vega(company=[Company("Altair", ago(90), ago(60)), Company("Rigel", ago(80), ago(50))])
    boxes = [
        box for box in tree(draw(season, asof=TODAY)).iter(f"{SVG}rect")
        if box.get("class") == "season-company"
    ]  # fmt: skip
    assert len({box.get("y") for box in boxes}) == 2


def test_a_female_of_whom_nothing_is_known_still_has_a_line_with_today() -> None:
    assert "today" in words(draw(Season("Alcor"), asof=TODAY, width=320))
    assert describe(Season("Alcor"), TODAY) == "Alcor. Today is 25 November 2026."


def test_month_names_thin_out_and_the_year_shows_where_it_changes() -> None:
    long = Scale(datetime.date(2025, 2, 10), datetime.date(2027, 6, 1), 360)
    ticks = months(long)
    named = [tick for tick in ticks if tick.name]
    assert len(ticks) == 28
    assert [tick.name for tick in named[:3]] == ["Apr", "Jul", "Oct"]
    assert [tick.year for tick in ticks if tick.year] == ["2025", "2026", "2027"]
    gaps = [b.x - a.x for a, b in pairwise(named)]
    assert min(gaps) > text_width("Mmm")


def test_the_style_sheet_has_a_rule_for_every_class_and_print_needs_none() -> None:
    season = vega(births=[ago(1)], separations=[ago(61)])
    on_page = draw([season, vega()], asof=TODAY)
    for used in set(re.findall(r'class="(season-[a-z-]+)"', on_page)):
        assert f".{used} {{" in CSS
    for style, _ in KEY:
        assert f".season-{style} {{" in CSS
    printed = draw([season, vega()], asof=TODAY, standalone=True)
    assert "var(" not in printed
    assert 'class="season-' not in printed
    assert "#0f5c5c" in printed
    tree(printed)


def test_no_season_or_no_width_is_refused() -> None:
    with pytest.raises(ValueError, match="no season"):
        draw([], asof=TODAY)
    with pytest.raises(ValueError, match="width is 100"):
        draw(vega(), asof=TODAY, width=100)


def test_text_is_shortened_and_wrapped_to_its_room() -> None:
    assert shortened("Mira", 200) == "Mira"
    cut = shortened("Zubeneschamali of the Lantern", 90)
    assert cut.endswith("…")
    assert text_width(cut) <= 90
    assert shortened("Mira", 1) == "M…"
    lines = wrapped("one two three four five six seven", 70, most=2)
    assert len(lines) == 2
    assert all(text_width(line) <= 70 for line in lines)


names = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), min_size=1, max_size=30)
days = st.integers(min_value=0, max_value=250).map(ago)
stretches = st.tuples(st.integers(0, 250), st.integers(0, 60)).map(
    lambda pair: (ago(pair[0]), ago(max(pair[0] - pair[1], 0)))
)
seasons = st.builds(
    Season,
    name=names,
    state=st.just("") | names,
    company=st.lists(st.builds(lambda male, s: Company(male, *s), names, stretches), max_size=3),
    apart=st.lists(stretches, max_size=2),
    signs=st.lists(st.builds(Mark, days, names, st.floats(0, 2)), max_size=7),
    mating=st.builds(lambda on: spread(on, 0.2, 0.5, 0.3), days),
    window=st.none() | stretches,
    births=st.lists(days, max_size=1),
)


def _boxes(svg: ET.Element) -> list[tuple[float, float, float, str]]:
    found = []
    for text in svg.iter(f"{SVG}text"):
        style = (text.get("class") or "season-name").removeprefix("season-")
        said = "".join(text.itertext())
        if text.get("class") is None:
            continue  # a heading has its row to itself
        x, y = float(text.get("x", 0)), float(text.get("y", 0))
        found.append((x, x + text_width(said, bold=style in BOLD_STYLES), y, said))
    return found


@settings(deadline=None, max_examples=tries(60))
@given(st.lists(seasons, min_size=1, max_size=2), st.sampled_from([320, 360, 660]))
def test_no_two_words_touch_whatever_is_drawn(drawn: list[Season], width: int) -> None:
    svg = tree(draw(drawn, asof=TODAY, width=width))
    boxes = _boxes(svg)
    for place, (x0, x1, y, said) in enumerate(boxes):
        assert x0 >= 0
        assert x1 <= width + 0.1, said
        for other_x0, other_x1, other_y, other in boxes[place + 1 :]:
            apart = x1 <= other_x0 + 0.1 or other_x1 <= x0 + 0.1 or abs(y - other_y) >= 12
            assert apart, (said, other)


@settings(deadline=None, max_examples=tries(100))
@given(
    st.lists(st.tuples(st.floats(0, 340), st.sampled_from(["today", "mating seen 1 Aug"]))),
    st.booleans(),
)
def test_poles_never_cross_words(flags: list[tuple[float, str]], upwards: bool) -> None:
    rows = LabelRows(360, most=4)
    for x, text in flags:
        rows.flag(x, [text], "strong", upwards=upwards)
    for x, up in rows.poles:
        for label in rows.labels:
            if label.row <= up:
                assert not label.x0 < x < label.x1


def test_bars_with_their_words_share_a_lane_only_without_touching() -> None:
    laid = lay_bars(
        [(0, 100, ["Altair"]), (100, 130, ["apart since 25 Sep"]), (90, 95, ["x"])], 360
    )
    assert [(bar.lane, bar.text) for bar in laid] == [
        (0, "Altair"),
        (0, "apart since 25 Sep"),
        (1, "x"),
    ]
    assert laid[0].text_x == 5
    assert laid[1].text_x == 134


YEAR = datetime.date(2026, 1, 1), datetime.date(2026, 12, 31)


def test_a_year_has_its_own_axis_and_only_what_falls_into_it_is_drawn():
    before = Mark(datetime.date(2025, 12, 30), "following", 0.05)
    svg = draw(vega(signs=[before, *vega().signs]), asof=TODAY, span=YEAR)
    said = words(svg)
    assert "fresh bite marks 8 Sep" in said
    assert not any("following" in one for one in said)
    assert [one for one in said if one in ("Jan", "Dec")] == ["Jan", "Dec"]
    inside = tree(svg)
    boxes = [box for box in inside.iter(f"{SVG}rect") if box.get("class") == "season-window"]
    (window,) = boxes
    assert float(window.get("x", 0)) + float(window.get("width", 0)) <= 660 - 5


def test_a_year_that_is_over_has_no_line_for_today():
    svg = draw(vega(), asof=TODAY, span=(datetime.date(2025, 1, 1), datetime.date(2025, 12, 31)))
    assert "today" not in words(svg)
    assert "season-today" not in svg
    assert "season-company" not in svg


def test_an_axis_that_ends_before_it_begins_is_refused():
    with pytest.raises(ValueError, match="ends on 2026-01-01, before it begins on 2026-12-31"):
        draw(vega(), asof=TODAY, span=(YEAR[1], YEAR[0]))


def test_company_that_is_not_drawn_is_counted():
    season = vega(more_males=31)
    assert "With 31 males beside these." in describe(season, TODAY)
    assert "With 31 males beside these." in words(draw(season, asof=TODAY, width=320))


def test_words_that_the_page_says_are_not_in_the_drawing():
    svg = tree(draw(vega(), asof=TODAY, id="line", described_by="line-words"))
    assert svg.get("aria-labelledby") == "line-title"
    assert svg.get("aria-describedby") == "line-words"
    assert svg.find(f"{SVG}desc") is None
