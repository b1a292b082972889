"""Looks a page over for hands in gloves: what is tapped is large, and nothing is squeezed, cut off or overlaid."""

from typing import Any

from playwright.sync_api import Page

from tests.journeys.browser import SIZES

# A link inside a sentence is exempt, as in WCAG 2.5.5; one that has its line for itself is a target.
LOOK = """() => {
  const least = 44, wide = document.documentElement.clientWidth;
  const name = (one) => `${one.tagName.toLowerCase()} "${(one.innerText || one.value || one.name || "").trim().slice(0, 40)}"`;
  const shown = (one) => one.checkVisibility({ visibilityProperty: true }) && one.getBoundingClientRect().width > 2;
  const scrolls = (one) => one.closest(".way") || ["auto", "scroll"].includes(getComputedStyle(one).overflowX);
  const inScroller = (one) => { for (let up = one; up; up = up.parentElement) if (scrolls(up)) return true; return false; };
  const found = { small: [], squeezed: [], out: [], over: [], touching: [] };
  const tapped = "header a, main a, main button, main summary, main select, main input:not([type=hidden]), main textarea";
  for (const one of document.querySelectorAll(tapped)) {
    const inSentence = one.tagName === "A" && getComputedStyle(one).display === "inline"
      && one.parentElement.innerText.trim().length > one.innerText.trim().length + 3;
    const box = (["radio", "checkbox"].includes(one.type) && one.closest("label") || one).getBoundingClientRect();
    const side = Math.min(box.height, box.width);
    if (shown(one) && !inSentence && side < least - 0.5) found.small.push(`${name(one)} ${Math.round(side)} px`);
  }
  for (const one of document.querySelectorAll("main *")) {
    const words = [...one.childNodes].filter((node) => node.nodeType === 3).map((node) => node.data.trim()).join(" ").trim();
    if (!words || !shown(one) || one.closest("svg") || one.closest(".unseen") || getComputedStyle(one).position === "absolute") continue;
    const box = one.getBoundingClientRect(), line = parseFloat(getComputedStyle(one).fontSize);
    // One word a line, over and over, is a column that fell in.
    const isColumn = box.height > 7 * 1.2 * line && box.width < 6 * line && words.length > 24;
    if (isColumn && getComputedStyle(one).display !== "inline") found.squeezed.push(name(one));
  }
  const laid = ["input", "select", "textarea", "button", ".act", "td", "th", "p", "li"].map((one) => `main ${one}`).join();
  for (const one of document.querySelectorAll(laid)) {
    const sheet = one.closest(".sheet");
    if (!shown(one) || one.closest(".unseen") || inScroller(one)) continue;
    const right = one.getBoundingClientRect().right;
    if (right > wide + 1 || (sheet && right > sheet.getBoundingClientRect().right + 1)) found.out.push(name(one));
  }
  // What stays in view at the foot of the page lies over what scrolls below it, and is meant to.
  const stays = (one) => ["sticky", "fixed", "absolute"].includes(getComputedStyle(one).position);
  const floats = (one) => { for (let up = one; up; up = up.parentElement) if (stays(up)) return true; return false; };
  const folded = (one) => one.closest("details:not([open])") && !one.closest("summary");
  const lines = [];
  for (const one of document.querySelectorAll("main *")) {
    if (one.closest("svg, .unseen") || !shown(one) || floats(one) || folded(one)) continue;
    for (const node of one.childNodes) {
      if (node.nodeType !== 3 || !node.data.trim()) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const box of range.getClientRects()) lines.push([box, one]);
    }
  }
  lines.sort((a, b) => a[0].top - b[0].top);
  lines.forEach(([box, one], at) => {
    for (let next = at + 1; next < lines.length && lines[next][0].top < box.bottom - 4; next++) {
      const [other, two] = lines[next];
      const across = Math.min(box.right, other.right) - Math.max(box.left, other.left);
      if (one !== two && across > 3 && Math.min(box.bottom, other.bottom) - other.top > 6) found.over.push(`${name(one)} and ${name(two)}`);
    }
  });
  const sheets = [...document.querySelectorAll("main .sheet")].filter((one) => shown(one) && !one.parentElement.closest(".sheet"));
  for (const one of sheets) for (const two of sheets) {
    const box = one.getBoundingClientRect(), other = two.getBoundingClientRect();
    const beside = Math.min(box.right, other.right) - Math.max(box.left, other.left) > 40;
    if (one !== two && beside && other.top >= box.top && other.top - box.bottom < 6) found.touching.push(`${name(one)} and ${name(two)}`);
  }
  const wrong = Object.entries(found).filter(([, ones]) => ones.length);
  return Object.fromEntries(wrong.map(([what, ones]) => [what, [...new Set(ones)].slice(0, 6)]));
}"""

# A phone cuts the words of a chosen answer at the edge of its field: what is cut must stand whole beside it. Each answer is chosen.
CUT = """async () => {
  for (const one of document.querySelectorAll("main details")) one.open = true;
  await new Promise((done) => setTimeout(done, 60));
  const ruler = document.body.appendChild(document.createElement("span")), found = [];
  ruler.className = "ruler";
  for (const field of document.querySelectorAll("main select")) {
    if (!field.checkVisibility({ visibilityProperty: true })) continue;
    const style = getComputedStyle(field), was = field.selectedIndex, arrow = 16;
    const room = field.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight) - arrow;
    Object.assign(ruler.style, { position: "absolute", whiteSpace: "pre", font: style.font });
    for (const option of field.options) {
      ruler.textContent = option.text;
      if (ruler.getBoundingClientRect().width <= room) continue;
      field.selectedIndex = option.index;
      field.dispatchEvent(new Event("change", { bubbles: true }));
      const beside = field.nextElementSibling, box = beside && beside.getBoundingClientRect();
      const said = beside && beside.checkVisibility() && beside.textContent.trim() === option.text.trim();
      if (!said || box.right > document.documentElement.clientWidth + 1) found.push(`${field.name}: ${option.text}`);
    }
    field.selectedIndex = was;
    field.dispatchEvent(new Event("change", { bubbles: true }));
  }
  ruler.remove();
  return found.slice(0, 6);
}"""


def not_for_gloves(page: Page) -> dict[str, Any]:
    """What is small, squeezed, out of its sheet, over others or cut, by the size at which it is."""
    found: dict[str, Any] = {}
    for size, (width, height) in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        wrong = page.evaluate(LOOK)
        if wrong:
            found[size] = wrong
    # At the last size, the phone's, and last of all: everything is unfolded for it.
    cut = page.evaluate(CUT)
    return {**found, "cut": cut} if cut else found
