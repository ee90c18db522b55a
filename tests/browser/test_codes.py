"""An ancestry shown as codes by one program, photographed, and taken into another."""

import pytest

from tests.browser.real import RealProgram
from tests.cast import PASSWORD


@pytest.fixture(scope="module")
def other(tmp_path_factory):
    """Another program, with a home and a key of its own."""
    real = RealProgram(tmp_path_factory.mktemp("other") / "home")
    try:
        real.start()
        real.write_people()
        yield real
    finally:
        real.kill()


@pytest.mark.parametrize("size", ["phone"])
def test_codes_of_one_program_are_photographed_by_another(jo, other, chromium, tmp_path, snap):
    """Jo shows the ancestry and the young of Albireo; Sam takes it with pictures of the screen."""
    jo.goto("/animals/")
    jo.get_by_role("link", name="Albireo").first.click()
    jo.get_by_text("Its ancestry as data").click()
    jo.get_by_role("link", name="Give its ancestry").click()
    for ticked in ("With call names", "With measurements", "With its young on record"):
        jo.get_by_label(ticked).check()
    jo.get_by_role("button", name="Show it as codes to scan").click()
    shown = jo.locator(".code")
    shown.first.wait_for()
    snap(jo, "codes")
    pictures = []
    for number in range(shown.count()):
        pictures.append(str(tmp_path / f"{number}.png"))
        shown.nth(number).screenshot(path=pictures[-1])
    assert len(pictures) > 1
    context = chromium.new_context(viewport={"width": 390, "height": 844}, base_url=other.url)
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto("/check/")
    page.get_by_label("Or photograph the code").set_input_files(pictures[1:])
    page.get_by_role("button", name="Check").click()
    page.get_by_text("Still missing: 1.").wait_for()
    page.get_by_label("Or photograph the code").set_input_files(pictures[:1])
    page.get_by_role("button", name="Check").click()
    page.get_by_role("heading", name="Unaltered").wait_for()
    snap(page, "codes-checked")
    page.goto("/sign-in/")
    page.fill("[name=username]", "sam")
    page.fill("[name=password]", PASSWORD)
    page.click("main button")
    page.wait_for_url("**/")
    page.goto("/ancestry/take/")
    page.get_by_label("Or photograph the code").set_input_files(pictures[-1])
    page.get_by_role("button", name="Look it over").click()
    page.get_by_text("Still missing: ").wait_for()
    snap(page, "codes-waiting")
    page.get_by_label("Or photograph the code").set_input_files(pictures[:-1])
    page.get_by_role("button", name="Look it over").click()
    page.get_by_role("heading", name="would be new").wait_for()
    snap(page, "codes-looked-over")
    page.get_by_role("button", name="Take it into the records").click()
    page.get_by_text("The ancestry is taken").first.wait_for()
    assert other.rows("SELECT count(*) FROM exchange_takenancestry") == [(1,)]
    context.close()
