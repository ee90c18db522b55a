"""The house rules that a machine can check: the mirror, the map, the doors, and what is where."""

import importlib
import re
from pathlib import Path

import pytest
from django.apps import apps
from django.contrib import admin
from django.core.management import call_command
from django.template.loader import get_template
from django.urls import URLPattern, get_resolver

ROOT = Path(__file__).resolve().parent.parent
ROOMS = (
    "agenda",
    "animals",
    "arrivals",
    "buyers",
    "demo",
    "exchange",
    "feeding",
    "finding",
    "health",
    "help",
    "housing",
    "identity",
    "litters",
    "offers",
    "origin",
    "pairings",
    "planning",
    "program",
    "records",
    "sheets",
    "traits",
)

# Routes without a page of their own, each with its reason.
NO_TEMPLATE = {
    "program:language": "leads back to where one was",
    "agenda:feed": "a calendar",
    "agenda:feed_address": "posted only, from `reminders.html`",
    "agenda:send_again": "posted only, from `reminders.html`",
    "animals:face": "a file",
    "animals:picture": "a file",
    "animals:thumbnail": "a file",
    "identity:mark_untold": "the page of `mark`, for a picture of nobody yet",
    "identity:picture": "a file",
    "identity:square": "a file",
    "identity:thumbnail": "a file",
    "identity:use": "posted only, from `spots.html`",
    "finding:go_animal": "what a card says; leads to the animal",
    "finding:go_tank": "what a card says; leads to the tank",
    "offers:picture": "a file",
    "origin:document": "a file",
    "origin:file": "a file",
    "program:backup": "a file",
    "program:end_session": "posted only, from `account.html`",
    "program:end_sessions": "posted only, from `account.html`",
    "program:kept_away": "posted only, from `kept.html`",
    "program:person_sign_out": "posted only, from `person.html`",
    "program:person_two_step_off": "posted only, from `person.html`",
    "exchange:key_file": "a file",
    "exchange:update": "`give.html`, of the animals of a file",
    "sheets:shared_file": "a file",
    "sheets:shared_picture": "a file",
    "sheets:file": "a file",
    "sheets:picture": "a file",
    "housing:again": "posted only, from the day",
    "litters:feed": "the page on which tanks are fed",
    "litters:let_go": "posted only, from the page of the litter",
    "housing:look": "posted only, from the tank and the list of tanks",
    "housing:tap_work": "posted only, from the day, the tank and the waters",
    "pairings:log_fed": "`log.html`, with another form",
    "pairings:log_note": "`log.html`, with another form",
    "pairings:log_water": "`log.html`, with another form",
    "pairings:log_weighed": "`log.html`, with another form",
    "planning:accept": "posted only",
    "planning:stop": "posted only",
    "records:archive": "a file",
    "records:history": "an old address, which leads to the chronicle",
    "program:bring_back": "posted only, from `withdraw.html`, which says what stops it",
    "program:once": "answers the pages' own script",
    "program:put_away": "posted only, from `_receipt.html`",
    "program:columns": "posted only, from `_columns.html`",
    "program:favicon": "a file",
    "program:manifest": "a file",
    "program:worker": "a file",
    "program:sign_out": "posted only",
}
# Routes answered by Django's own view.
NO_VIEW = {
    "program:sign_in": "Django's LoginView",
    "program:sign_out": "Django's LogoutView",
}
# Templates that belong to no route of their name.
NO_ROUTE = {
    "sheets/shared_nothing.html": "a link to a sheet that leads nowhere",
    "animals/broken_lineage.html": "what is wrong with a lineage that cannot be",
    "exchange/codes.html": "what is given, as codes to scan",
    "exchange/look_over.html": "a file that was dropped, before it is taken",
    "exchange/look_over_keys.html": "a file that speaks of keys alone, before it is kept",
    "program/not_saved.html": "what was typed, when it cannot be written",
    "program/link_password.html": "a link that asks for a new password",
    "program/link_spent.html": "a link that works no more",
    "program/set_up.html": "the first visit, through the link",
    "program/trouble.html": "what went wrong",
}
# Files of more than 450 lines, each with its reason.
LONG = {
    "breeding/buyers/migrations/0001_buyers_and_wishes.py": "written by makemigrations",
    "breeding/health/migrations/0001_health_and_holds.py": "written by makemigrations",
    "breeding/housing/migrations/0001_tanks_stays_and_water.py": "written by makemigrations",
    "breeding/animals/migrations/0001_animals_and_parents.py": "written by makemigrations",
    "breeding/pairings/migrations/0001_pairings_and_signs.py": "written by makemigrations",
}
NOT_IN_ADMIN = {
    "program.SignInLink": "the hash of a link is nobody's business",
    "program.SignedIn": "the key of a session is nobody's business",
}
# Files that define a word for numbers of their own, each with its reason.
SAID_ELSEWHERE = {
    "breeding/program/templatetags/formats.py": "filters that only call breeding/words",
    "breeding/sheets/templatetags/sheet_days.py": "filters that only call breeding/words",
    "breeding/program/language/sources.py": "doubles the per cent sign, as gettext finds it",
}
AT_THE_TOP = {
    "README.md",
    "DEVELOPERS.md",
    "CHANGELOG.md",
    "LICENSE",
    "manage.py",
    "pyproject.toml",
    "breeding",
    "pedigree",
    "benchmarks",
    "tests",
    "fixtures",
    "deploy",
}


def routes():
    """(room, name, view) of every route of every room."""
    for room in ROOMS:
        try:
            urls = importlib.import_module(f"breeding.{room}.urls")
        except ModuleNotFoundError:
            continue
        for pattern in urls.urlpatterns:
            assert isinstance(pattern, URLPattern)
            yield room, pattern.name, pattern.callback


ROUTES = list(routes())
NAMES = [f"{room}:{name}" for room, name, _ in ROUTES]


def test_every_room_with_addresses_is_reached():
    reached = set(get_resolver().namespace_dict) - {"admin"}
    assert reached == {room for room, _, _ in ROUTES}


@pytest.mark.parametrize(("room", "name", "view"), ROUTES, ids=NAMES)
def test_a_route_is_answered_by_the_view_of_its_name(room, name, view):
    if f"{room}:{name}" in NO_VIEW:
        return
    assert view.__name__ == name
    home = importlib.import_module(view.__module__)
    assert view.__module__.startswith(f"breeding.{room}.views."), f"{view.__module__} is no noun"
    assert getattr(home, name) is view, f"{view.__module__} only passes {name} on"


@pytest.mark.parametrize(("room", "name", "view"), ROUTES, ids=NAMES)
def test_a_route_shows_the_template_of_its_name(room, name, view):
    if f"{room}:{name}" not in NO_TEMPLATE:
        assert get_template(f"{room}/{name}.html")


def test_the_listed_exceptions_are_routes():
    assert set(NO_TEMPLATE) <= set(NAMES)
    assert set(NO_VIEW) <= set(NAMES)


def test_every_page_template_has_a_route():
    found = {
        f"{path.parent.name}/{path.name}"
        for room in ROOMS
        for path in (ROOT / "breeding" / room / "templates" / room).glob("*.html")
        if not path.name.startswith("_")
    }
    without = {one for one in found if one.removesuffix(".html").replace("/", ":") not in NAMES}
    assert without == set(NO_ROUTE)


def test_no_route_name_is_given_twice():
    assert sorted(NAMES) == sorted(set(NAMES))


def test_every_rule_of_the_records_has_words_of_its_own():
    silent = [
        rule.name
        for room in ROOMS
        for model in apps.get_app_config(room).get_models()
        for rule in model._meta.constraints
        if rule.violation_error_message == rule.default_violation_error_message
    ]
    assert silent == []


@pytest.mark.django_db
def test_the_migrations_say_what_the_models_say(capsys):
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_every_model_can_be_looked_at_or_has_a_reason():
    admin.autodiscover()  # as the addresses do, once anybody asks for a page
    hidden = {
        f"{room}.{model.__name__}"
        for room in ROOMS
        for model in apps.get_app_config(room).get_models()
        if not admin.site.is_registered(model)
    }
    assert hidden == set(NOT_IN_ADMIN), "register it in the room's admin.py, or say why not"


def test_the_map_lists_the_folders_that_are_there():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    (block,) = [one for one in re.findall(r"```[a-z]*\n(.*?)```", text, re.S) if "animals/" in one]
    drawn: dict[str, set[str]] = {"": set()}
    top = ""
    for indent, name in re.findall(r"^([ │├└─]*)([\w.]+)/", block, re.M):
        if indent:
            drawn[top].add(name)
        else:
            top = name
            drawn[""].add(name)
            drawn[top] = set()
    assert drawn["breeding"] == folders(ROOT / "breeding")
    assert drawn["pedigree"] == folders(ROOT / "pedigree")
    assert drawn[""] == folders(ROOT)


def named_in_the_documentation() -> list[tuple[str, str]]:
    """(path, name) of everything in these pages that looks like a file, or a folder's files."""
    pages = (ROOT / "DEVELOPERS.md", ROOT / "benchmarks" / "MEASURED.md")
    written = "\n".join(page.read_text(encoding="utf-8") for page in pages)
    text = re.sub(r"```.*?```", "", written, flags=re.S)
    paths = re.findall(r"`([\w./-]+\.(?:py|html|json|toml|md)|[\w-]+/[\w/-]*/)(?:::(\w+))?`", text)
    return [(path, name) for path, name in paths if "<" not in path]


def is_there(path: str, name: str, top: Path = ROOT) -> bool:
    """From the top or from `breeding/`; a file without a folder is any of its name."""
    places = [top / path, top / "breeding" / path]
    if "/" not in path:
        places += [one for part in ("breeding", "tests") for one in (top / part).rglob(path)]
    defined = re.compile(rf"^ *(?:def|class) {name}\b|^{name}\b[^=\n]*= ", re.M)
    return any(
        one.exists() and (not name or bool(defined.search(one.read_text(encoding="utf-8"))))
        for one in places
    )


def test_what_the_documentation_names_is_there():
    named = named_in_the_documentation()
    assert len(named) > 100
    assert [f"{path}::{name}" for path, name in named if not is_there(path, name)] == []


def test_every_measurement_of_the_documentation_is_there_and_says_how_it_is_asked():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text[text.index("| NAME | what |") :].split("\n\n")[0]
    commands = re.findall(r"^\| `(\w+)", table, re.M)
    assert len(commands) > 15
    asked = {one: (ROOT / "benchmarks" / f"{one}.py").read_text("utf-8") for one in commands}
    assert [one for one, code in asked.items() if "ArgumentParser(" not in code] == []


@pytest.mark.parametrize(
    ("path", "name"),
    [
        ("agenda/nobody.py", ""),
        ("nobody.py", ""),
        ("agenda/nowhere/", ""),
        ("agenda/kinds/table.py", "TABLES"),
        ("agenda/kinds/kind.py", "urgency"),
    ],
)
def test_a_path_or_a_name_that_is_gone_is_found(path, name):
    assert not is_there(path, name)


def folders(place: Path) -> set[str]:
    return {
        one.name
        for one in place.iterdir()
        if one.is_dir() and not one.name.startswith((".", "__")) and any(one.iterdir())
    }


def test_files_can_be_read_in_one_sitting():
    long = {
        str(path.relative_to(ROOT))
        for top in ("breeding", "pedigree", "benchmarks")
        for path in (ROOT / top).rglob("*.py")
        if len(path.read_text(encoding="utf-8").splitlines()) > 450
    }
    assert long == set(LONG)


def test_templates_can_be_read_in_one_sitting():
    """One thing a line, two spaces a level; a line ends where white space does not show."""
    long = [
        f"{path.relative_to(ROOT)}, line {number}: {len(line)} characters"
        for path in sorted((ROOT / "breeding").rglob("*.html"))
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if len(line) > 160
    ]
    assert long == []


def test_nothing_stands_at_the_top_that_does_not_belong_there():
    there = {one.name for one in ROOT.iterdir() if not one.name.startswith((".", "__"))}
    assert there == AT_THE_TOP


def test_no_room_has_a_file_with_a_name_that_says_nothing():
    vague = {"utils.py", "helpers.py", "manager.py", "managers.py", "data.py", "info.py"}
    found = [
        path
        for top in ("breeding", "pedigree", "benchmarks", "tests")
        for path in (ROOT / top).rglob("*.py")
        if path.name in vague
    ]
    assert found == []


def test_numbers_are_said_in_one_room():
    """Percent, lists, counts and ordinals are defined in `words/` and nowhere a second time."""
    said = r"percent|joined|listed|counted|spelled|plurals?"
    second = re.compile(
        rf"^\s*def _?(?:{said}|captive_generation|known_count|closeness)\("
        r"|\b_?(?:NUMBERS|ORDINALS|PARTS) = \("
        r"|[\"'](?:two|second)[\"'], [\"'](?:three|third)[\"']"
        r"|:\.\d%\}|replace\([\"']%[\"']",
        re.M,
    )
    elsewhere = [
        f"{path.relative_to(ROOT)}: {found.group().strip()}"
        for top in ("breeding", "pedigree")
        for path in sorted((ROOT / top).rglob("*.py"))
        if not path.is_relative_to(ROOT / "breeding" / "words")
        and path.relative_to(ROOT).as_posix() not in SAID_ELSEWHERE
        for found in second.finditer(path.read_text(encoding="utf-8"))
    ]
    assert elsewhere == []


def test_no_template_makes_a_plural_of_its_own():
    found = [
        str(path.relative_to(ROOT))
        for path in (ROOT / "breeding").rglob("*.html")
        if "|pluralize" in path.read_text(encoding="utf-8")
    ]
    assert found == []


def test_every_module_opens_with_one_line():
    silent = [
        str(path.relative_to(ROOT))
        for top in ("breeding", "pedigree", "benchmarks", "tests")
        for path in (ROOT / top).rglob("*.py")
        if "migrations" not in path.parts
        and (text := path.read_text(encoding="utf-8"))
        and not text.lstrip().startswith('"""')
    ]
    assert silent == []


def test_pages_refer_to_no_other_host():
    """The name space of SVG is a name and not an address that anything is fetched from."""
    abroad = []
    for path in (ROOT / "breeding").rglob("*"):
        if path.suffix not in (".html", ".css", ".js", ".svg", ".txt", ".typ"):
            continue
        text = path.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
        abroad += [f"{path.name}: {found}" for found in re.findall(r"(?:https?:)?//\w[\w.-]*", text)
                   if "://" in found]  # fmt: skip
    assert abroad == []


def test_pages_hold_no_scripts_or_handlers_of_their_own():
    """The content policy would refuse them in every browser."""
    found = []
    for path in (ROOT / "breeding").rglob("*.html"):
        text = path.read_text(encoding="utf-8")
        if re.search(r"<script(?![^>]*\bsrc=)|\son[a-z]+\s*=\s*[\"']|javascript:", text):
            found.append(path.name)
    assert found == []


def test_no_page_asks_for_a_number_in_a_field_that_drops_commas():
    """Forms are tried one by one in test_forms.py; this reads what is written by hand."""
    by_hand = re.compile(r"type=[\"']?number|NumberInput\(|forms\.(?:Integer|Float|Decimal)Field\(")
    found = [
        f"{path.relative_to(ROOT)}: {one.group()}"
        for path in sorted((ROOT / "breeding").rglob("*"))
        if path.suffix in (".html", ".py", ".js")
        and path != ROOT / "breeding/program/typed/numbers.py"
        for one in by_hand.finditer(path.read_text(encoding="utf-8"))
    ]
    assert found == []
