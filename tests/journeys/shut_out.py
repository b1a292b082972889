"""Looks a page over, light and dark, for what shuts people out. Against: axe-core 4.12.1, all of its rules (WCAG 2.0 to 2.2, A and AA,
and its best practices).
"""

from pathlib import Path

from playwright.sync_api import Page

AXE = Path(__file__).parent / "axe" / "axe.min.js"
# Every rule in the light; in the dark those that look at colours, for nothing else of a page changes with its look.
ON_COLOURS = ["color-contrast", "link-in-text-block"]
LOOKS = {"light": {}, "dark": {"runOnly": {"type": "rule", "values": ON_COLOURS}}}
# axe leaves words that stand in an empty field out. They are read like others: WCAG 1.4.3, 4.5 to 1.
FAINT = """() => {
  const paint = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const seen = (colour) => {
    paint.clearRect(0, 0, 1, 1);
    paint.fillStyle = colour;
    paint.fillRect(0, 0, 1, 1);
    return [...paint.getImageData(0, 0, 1, 1).data];
  };
  const part = (of) => { const share = of / 255; return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4; };
  const light = ([red, green, blue]) => 0.2126 * part(red) + 0.7152 * part(green) + 0.0722 * part(blue) + 0.05;
  const faint = [];
  for (const one of document.querySelectorAll("[placeholder]:placeholder-shown")) {
    const ground = light(seen(getComputedStyle(one).backgroundColor));
    const words = light(seen(getComputedStyle(one, "::placeholder").color));
    const apart = Math.max(ground, words) / Math.min(ground, words);
    if (apart < 4.5) faint.push(`"${one.placeholder}" ${apart.toFixed(2)} to 1`);
  }
  return faint;
}"""
LOOK_OVER = f"""async ([look, asked]) => {{
  document.documentElement.dataset.look = look;
  return [({FAINT})(), (await axe.run(document, asked)).violations];
}}"""


def shuts_out(page: Page) -> list[str]:
    """What axe and we find wrong, each with its place on the page; the page has axe in it."""
    wrong = []
    for look, rules in LOOKS.items():
        faint, found = page.evaluate(LOOK_OVER, [look, {"resultTypes": ["violations"], **rules}])
        wrong += [f"{look}: words in an empty field are faint: {one}" for one in faint]
        wrong += [
            f"{look}: {one['id']} ({one['help']}) at {', '.join(' '.join(map(str, node['target'])) for node in one['nodes'][:3])}"
            for one in found
        ]
    return wrong
