"""Settings in a real browser: a half-entry stays, an unticked box stays unticked, a row is tried while it is typed, a copy is made."""

from pathlib import Path

from playwright.sync_api import Browser, Page, expect

from tests.journeys.browser import opened, pictured
from tests.journeys.test_own_workshop import empty_home, open_own

ROW = "/settings/row/limit/chain-elongation-12to13/"


def half_entries_stay(page: Page) -> None:
    """Somebody is called away in the middle of the week's form, and comes back to it."""
    page.goto("/settings/days/")
    page.locator("form#days input[name=open_Tue]").uncheck(force=True)
    page.locator("form#days input[name=open_Mon]").check(force=True)
    page.locator("form#days #opens_Mon").fill("08:30")
    page.goto("/")
    page.goto("/settings/days/")
    expect(page.locator("form#days input[name=open_Tue]")).not_to_be_checked()
    expect(page.locator("form#days input[name=open_Mon]")).to_be_checked()
    expect(page.locator("form#days #opens_Mon")).to_have_value("08:30")
    page.locator("form#days").get_by_role("button", name="save").click()
    expect(page.locator(".just").get_by_text("open Mon 08:30 to")).to_be_visible()
    page.goto("/settings/days/")
    expect(page.locator("form#days input[name=open_Tue]")).not_to_be_checked()


def a_row_is_tried_while_it_is_typed(page: Page) -> None:
    """The caution comes without a save; the save asks why, keeps the figure, and one tap takes it back."""
    page.goto(ROW)
    page.get_by_label("limit, yours", exact=True).fill("0,75")
    expect(page.locator("#effects").get_by_text("Softer than the trade table")).to_be_visible()
    page.get_by_role("button", name="save this row").click()
    # Said once, beside its field.
    expect(page.get_by_text("say why in a few words").filter(visible=True).first).to_be_visible()
    expect(page.get_by_label("limit, yours", exact=True)).to_have_value("0,75")
    page.get_by_label("why").fill("winter riders run both out")
    page.get_by_role("button", name="save this row").click()
    expect(page.locator(".just").get_by_text("limit 0.75")).to_be_visible()
    # Leaving before its answer would come before the undo; what is tried while it is typed is answered as well.
    with page.expect_response(lambda answer: "/undo/" in answer.url and answer.request.method == "POST"):
        page.locator(".just").get_by_role("button", name="undo").click()
    page.goto(ROW)
    expect(page.get_by_label("limit, yours", exact=True)).to_have_value("")


def test_the_owner_of_a_new_shop_sets_it_up(browser: Browser, tmp_path: Path) -> None:
    """From the strip on the shop day through days, a limit and a copy; the files are there afterwards."""
    with empty_home(tmp_path) as address:
        page = opened(browser, "tablet", address.partition("/open")[0])
        page.goto(address)
        open_own(page)
        expect(page.get_by_text("Before the first bike, or after it")).to_be_visible()
        pictured(page, "settings-first")
        half_entries_stay(page)
        a_row_is_tried_while_it_is_typed(page)
        pictured(page, "settings-row")
        page.goto("/settings/safe-keeping/")
        page.get_by_role("button", name="make a copy now").click()
        expect(page.get_by_text("The last good one here is of")).to_be_visible()
        page.goto("/settings/")
        pictured(page, "settings-settings")
    assert len(list((tmp_path / "home" / "backups").glob("bench-*.sqlite3"))) == 1
    assert list((tmp_path / "home" / "tables" / "earlier").glob("limits.toml.*"))
