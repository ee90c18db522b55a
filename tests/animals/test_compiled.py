"""The translated drawing module is kept, and run only when this program kept it itself."""

import stat

import pytest

from breeding.animals.pictures import compiled, tree_svg

pytestmark = pytest.mark.one_database("machine code in a file")

SECRET = "of-this-directory"


@pytest.fixture
def made(monkeypatch):
    """How often the module was translated, each time to other code."""
    times = []

    def translate():
        times.append(b"code %d" % (len(times) + 1))
        return times[-1]

    monkeypatch.setattr(compiled, "_in_a_process_of_its_own", translate)
    return times


def file_in(home):
    return home / "compiled" / "drawing.bin"


def test_it_is_translated_once_for_all_processes_of_a_directory(tmp_path, made):
    assert [compiled.make_ready(tmp_path, SECRET) for _ in range(3)] == [b"code 1"] * 3
    assert len(made) == 1


def test_it_is_for_the_owner_alone(tmp_path, made):
    compiled.make_ready(tmp_path, SECRET)
    assert stat.S_IMODE(file_in(tmp_path).stat().st_mode) == 0o600
    assert stat.S_IMODE(file_in(tmp_path).parent.stat().st_mode) == 0o700
    assert [one.name for one in file_in(tmp_path).parent.iterdir()] == ["drawing.bin"]


@pytest.mark.parametrize(
    "spoiled",
    [
        lambda kept: b"",
        lambda kept: kept[:20],
        lambda kept: kept[:-1],
        lambda kept: kept + b"x",
        lambda kept: kept[:-1] + bytes([kept[-1] ^ 1]),
        lambda kept: bytes([kept[0] ^ 1]) + kept[1:],
        lambda kept: b"machine code of somebody else" * 9,
    ],
)
def test_what_is_damaged_or_of_somebody_else_is_made_anew(tmp_path, made, spoiled):
    compiled.make_ready(tmp_path, SECRET)
    file_in(tmp_path).write_bytes(spoiled(file_in(tmp_path).read_bytes()))
    assert [compiled.make_ready(tmp_path, SECRET) for _ in range(2)] == [b"code 2"] * 2


def test_what_was_kept_with_another_secret_or_version_is_made_anew(tmp_path, made, monkeypatch):
    compiled.make_ready(tmp_path, "of-another-directory")
    assert compiled.make_ready(tmp_path, SECRET) == b"code 2"
    monkeypatch.setattr(compiled, "version", lambda package: "99.0")
    assert compiled.make_ready(tmp_path, SECRET) == b"code 3"
    monkeypatch.setattr(compiled.platform, "machine", lambda: "abacus")
    assert compiled.make_ready(tmp_path, SECRET) == b"code 4"


def test_without_a_directory_nothing_is_kept(tmp_path, made):
    assert compiled.make_ready(tmp_path / "none", SECRET) == b"code 1"
    assert list(tmp_path.iterdir()) == []


def test_the_code_that_a_process_made_is_a_module_that_draws(tmp_path):
    engine = compiled.engine()
    for _ in ("made", "kept"):
        found = compiled.module(engine, tmp_path, SECRET)
        assert "graphviz_render" in {one.name for one in found.exports}
    assert file_in(tmp_path).stat().st_size > 1_000_000


def test_code_of_another_processor_is_replaced(tmp_path, made):
    found = compiled.module(compiled.engine(), tmp_path, SECRET)
    assert "graphviz_render" in {one.name for one in found.exports}
    assert made == [b"code 1"]
    assert file_in(tmp_path).stat().st_size > 1_000_000
    compiled.module(compiled.engine(), tmp_path, SECRET)
    assert made == [b"code 1"]


def test_where_no_process_can_be_begun_it_is_translated_here(tmp_path, monkeypatch):
    def refused(*arguments, **more):
        raise OSError("no memory for another process")

    monkeypatch.setattr(compiled.subprocess, "run", refused)
    assert compiled.make_ready(tmp_path, SECRET) is None
    found = compiled.module(compiled.engine(), tmp_path, SECRET)
    assert "graphviz_render" in {one.name for one in found.exports}


def test_the_server_makes_it_ready_where_there_is_no_dot_program(
    tmp_path, settings, monkeypatch, made
):
    settings.HOME = tmp_path
    monkeypatch.setattr(tree_svg, "_make_ready_once", tree_svg._make_ready_once.__wrapped__)
    monkeypatch.setattr(tree_svg.shutil, "which", lambda name: "/usr/bin/dot")
    tree_svg.make_ready(None)
    assert made == []
    monkeypatch.setattr(tree_svg.shutil, "which", lambda name: None)
    tree_svg.make_ready(None)
    assert made == [b"code 1"]
    assert file_in(tmp_path).exists()
