// A keypad for one figure. Keys write into the figure; it knows the usual range and asks at a slip.
(function () {
  "use strict";

  function figureOf(pad) { return pad.querySelector(".keypad-figure"); }

  function valueOf(figure) {
    const text = figure.value.replace(/\s/g, "").replace(",", ".");
    return text === "" ? null : Number(text);
  }

  function plain(number) { return String(Number(number.toPrecision(6))); }

  // The same slips that the workshop's own check looks for: another unit first, then the point.
  function otherUnit(value, pad, low, high) {
    for (const [words, factor, offset] of JSON.parse(pad.dataset.others || "[]")) {
      const there = Number((value * factor + offset).toPrecision(5));
      if (there >= low && there <= high) { return { value: there, words: " (" + plain(value) + " " + words + ")" }; }
    }
    return null;
  }

  function meant(value, low, high) {
    for (const by of [10, 100, 1000]) {
      if (value / by >= low && value / by > 0 && value / by <= high) { return value / by; }
    }
    return null;
  }

  function judge(pad) {
    const figure = figureOf(pad), said = pad.querySelector("[data-said]"), button = pad.querySelector("[data-meant]");
    if (!("high" in pad.dataset)) { return; }
    const value = valueOf(figure), low = Number(pad.dataset.low || 0), high = Number(pad.dataset.high);
    const unit = pad.dataset.unit ? " " + pad.dataset.unit : "";
    // Words such as 12 1/16 in are read by the workshop, not here.
    const outside = value !== null && !Number.isNaN(value) && !(value >= low && value <= high);
    pad.classList.toggle("is-refused", outside);
    button.hidden = true;
    if (!outside) { said.textContent = ""; return; }
    said.textContent = worded("{typed}: {low} to {high} is usual here.", { typed: figure.value + unit, low: plain(low), high: plain(high) + unit });
    const other = otherUnit(value, pad, low, high);
    const slip = other !== null ? other.value : value > high ? meant(value, low, high) : null;
    if (slip !== null) {
      button.textContent = worded("Did you mean {value}?", { value: plain(slip) + unit + (other !== null ? other.words : "") });
      button.dataset.meant = plain(slip);
      button.hidden = false;
    }
  }

  function press(pad, key) {
    const figure = figureOf(pad);
    if (key === "back") { figure.value = figure.value.slice(0, -1); }
    else if (key === "." && figure.value.includes(".")) { return; }
    else if (figure.value.length < 9) { figure.value += key; }
    figure.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function wake(root) {
    for (const pad of root.querySelectorAll("[data-keypad]")) {
      pad.querySelector("[data-keys]").hidden = false;
      // With our own keys on the screen the tablet's keyboard stays away; a real keyboard still types.
      figureOf(pad).setAttribute("inputmode", "none");
      if (figureOf(pad).value !== "") { judge(pad); }
    }
  }

  document.addEventListener("click", function (event) {
    const key = event.target.closest("[data-key]"), slip = event.target.closest("button[data-meant]");
    const pad = event.target.closest("[data-keypad]");
    if (!pad) { return; }
    if (key) { press(pad, key.dataset.key); }
    if (slip) {
      figureOf(pad).value = slip.dataset.meant;
      judge(pad);
      figureOf(pad).focus();
    }
  });
  document.addEventListener("input", function (event) {
    const pad = event.target.closest("[data-keypad]");
    if (pad && event.target === figureOf(pad)) { judge(pad); }
  });
  document.addEventListener("DOMContentLoaded", function () { wake(document); });
  document.addEventListener("htmx:load", function (event) { wake(event.target); });
})();
