"""The files under fixtures/ are found in a checkout and in an installed package."""

import pytest

from breeding.program.reference import fixture_files
from breeding.program.reference.fixture_files import fixture_path


def test_a_fixture_is_found_in_a_checkout():
    assert fixture_path("published/mrode_ch2.json").is_file()


def test_a_folder_of_fixtures_is_found_too():
    assert fixture_path("published").is_dir()


def test_files_inside_the_package_are_preferred(tmp_path, monkeypatch):
    inside, beside = tmp_path / "breeding" / "fixtures", tmp_path / "fixtures"
    for place in (inside, beside):
        place.mkdir(parents=True)
        (place / "one.json").write_text("{}")
    monkeypatch.setattr(fixture_files, "PLACES", (inside, beside))
    assert fixture_path("one.json") == inside / "one.json"


@pytest.mark.parametrize("name", ["", "../pyproject.toml", "/etc/hosts", "a/../../b"])
def test_a_name_that_leads_outside_is_refused(name):
    with pytest.raises(ValueError, match="only a relative name"):
        fixture_path(name)


def test_a_missing_fixture_names_the_places_looked_in():
    with pytest.raises(FileNotFoundError, match=r"no 'nothing\.json' in .*fixtures or .*fixtures"):
        fixture_path("nothing.json")
