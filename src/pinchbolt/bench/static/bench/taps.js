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

  function wake(root) {
    for (const row of root.querySelectorAll("[data-taps]")) { row.hidden = false; }
  }

  document.addEventListener("click", function (event) {
    const button = event.target.closest("[data-tap]");
    if (button) { tap(button); }
  });
  document.addEventListener("DOMContentLoaded", function () { wake(document); });
  document.addEventListener("htmx:load", function (event) { wake(event.target); });
})();
