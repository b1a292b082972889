// Words and figures that are often written, put into a field by one tap. The buttons show only where scripts run.
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

  function wake(root) {
    for (const row of root.querySelectorAll("[data-taps]")) { row.hidden = false; }
  }

  document.addEventListener("click", function (event) {
    const button = event.target.closest("[data-tap]");
    if (button) { tap(button); }
    const copy = event.target.closest("[data-copy]");
    if (copy) { take(copy); }
  });
  document.addEventListener("DOMContentLoaded", function () { wake(document); });
  document.addEventListener("htmx:load", function (event) { wake(event.target); });
})();
