// Words and figures that are often written, put into a field by one tap; the step of a job, and what was refused, in view; days and
// long answers that were chosen, in words.
(function () {
  "use strict";

  function tap(button) {
    const field = document.getElementById(button.dataset.tapInto);
    if (!field) { return; }
    const words = button.dataset.tap;
    if (button.dataset.tapMode === "set") { field.value = words; }
    else if (!field.value.includes(words)) { field.value = field.value.trim() === "" ? words : field.value.trim() + ", " + words; }
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  // A text for the owner, taken along by one tap; where the browser does not let us, it is marked to be copied by hand.
  function take(button) {
    const field = document.getElementById(button.dataset.copy);
    if (!field) { return; }
    field.select();
    if (navigator.clipboard) { navigator.clipboard.writeText(field.value).then(function () { button.textContent = "copied"; }); }
    else if (document.execCommand("copy")) { button.textContent = "copied"; }
  }

  // On a phone the way of a job is wider than the page: this step and the next are brought into view.
  function show() {
    const way = document.querySelector(".way");
    const steps = document.querySelectorAll(".way-here, .way-next");
    if (way && steps.length) { way.scrollLeft = Math.min(...[...steps].map(function (one) { return one.offsetLeft - way.offsetLeft; })); }
  }

  // What was refused is said once, beside its field, which is brought into view; without scripts also above.
  function once() {
    for (const box of document.querySelectorAll(".refusal[data-refused] > p:not(.refusal-word)")) {
      const beside = [...document.querySelectorAll("main .sentence")].find(function (one) { return one.offsetParent && one.textContent.trim() === box.textContent.trim(); });
      if (!beside || box.hidden) { continue; }
      box.hidden = true;
      // An answer that is laid in place of the page goes to its top afterwards.
      setTimeout(function () { beside.scrollIntoView({ block: "center" }); });
    }
  }

  // A field for a day is the browser's own, in the form of the tablet's language. What was chosen is said beside it in words.
  function sayDay(field) {
    let words = field.nextElementSibling;
    if (!words || !words.matches(".day-in-words")) {
      words = document.createElement("output");
      words.className = "note day-in-words";
      words.htmlFor = field.id;
      field.after(words);
    }
    const day = field.valueAsDate, long = { weekday: "long", day: "numeric", month: "long", year: "numeric", timeZone: "UTC" };
    words.textContent = day ? day.toLocaleDateString(document.documentElement.lang, long) : "";
  }

  function sayDays() {
    for (const field of document.querySelectorAll("main input[type=date]")) { if (field.value) { sayDay(field); } }
  }

  // A field of answers cuts what is longer than itself, on a phone most of it. The whole words of the chosen one stand below it then.
  const ruler = document.createElement("canvas").getContext("2d");
  const ARROW = 24;
  function sayChoice(field) {
    const chosen = field.selectedOptions[0], style = getComputedStyle(field);
    ruler.font = style.fontWeight + " " + style.fontSize + " " + style.fontFamily;
    const room = field.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight) - ARROW;
    const isCut = chosen && field.clientWidth && ruler.measureText(chosen.text).width > room;
    let words = field.nextElementSibling;
    if (!words || !words.matches(".chosen-in-words")) {
      if (!isCut) { return; }
      words = document.createElement("span");
      words.className = "note chosen-in-words";
      // A reader hears the field's own answer whole.
      words.setAttribute("aria-hidden", "true");
      field.after(words);
    }
    words.textContent = isCut ? chosen.text : "";
    words.hidden = !isCut;
  }

  function sayChoices() {
    for (const field of document.querySelectorAll("main select")) { sayChoice(field); }
  }

  function wake(root) {
    show();
    // After what was typed before a reload is back in its fields.
    setTimeout(sayDays);
    setTimeout(sayChoices);
    once();
    for (const row of root.querySelectorAll("[data-taps]")) { row.hidden = false; }
  }

  document.addEventListener("click", function (event) {
    const button = event.target.closest("[data-tap]");
    if (button) { tap(button); }
    const copy = event.target.closest("[data-copy]");
    if (copy) { take(copy); }
  });
  document.addEventListener("input", function (event) {
    if (event.target.matches("main input[type=date]")) { sayDay(event.target); }
  });
  document.addEventListener("DOMContentLoaded", function () { wake(document); });
  document.addEventListener("change", function (event) {
    if (event.target.matches("main select")) { sayChoice(event.target); }
  });
  // What is folded away has no width; a form that is emptied, or a page that is turned, chooses anew.
  document.addEventListener("toggle", sayChoices, true);
  document.addEventListener("reset", function () { setTimeout(sayChoices); });
  addEventListener("resize", function () { show(); sayChoices(); });
  document.addEventListener("htmx:load", function (event) { wake(event.target); });
})();
