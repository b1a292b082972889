"""What journeys of a wheel begin with: a bike is taken in, its rear wheel's sheet is open, and the wheel is measured."""

from playwright.sync_api import Page, expect

from tests.journeys.front_door import sign_in, take_in

MEASURED = {
    "spoke_count": "32", "erd_mm": "602", "circle_left_mm": "45", "circle_right_mm": "45", "offset_left_mm": "35", "offset_right_mm": "17.5",
    "crossings_left": "3", "crossings_right": "3", "greatest_n": "1350",
}  # fmt: skip


def open_rear_wheel(page: Page) -> None:
    """Sign in, take a road bike in whose owner says that it shimmies, and open its rear wheel's sheet."""
    sign_in(page)
    job = take_in(page, "road-disc")
    page.goto(f"/job/{job}/work/")
    page.goto(f"/job/{job}/wheels/")
    page.get_by_role("link", name="Rear wheel").click()


def measure(page: Page) -> None:
    """Write rim, hub and lacing down, as they were measured."""
    form = page.locator("#measure")
    for name, value in MEASURED.items():
        form.locator(f"[name='{name}']").fill(value)
    form.get_by_role("radio", name="1.8 mm, double butted").check(force=True)
    form.get_by_role("button", name="save").click()
    expect(page.locator("#turns")).to_contain_text("Read every spoke first")
