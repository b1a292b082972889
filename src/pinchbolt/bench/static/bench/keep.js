// No half-entry is lost: what is typed is kept in this tab until it is saved, and a failed request says so plainly.
// Forms opt in with data-keep="name". Secrets are never kept.
(function () {
  "use strict";

  function shelf(form) { return "pinchbolt " + form.getAttribute("action") + " " + form.dataset.keep; }

  function isSecret(field) { return field.type === "password" || field.name === "csrfmiddlewaretoken" || field.type === "file"; }

  function entries(form) {
    const kept = {};
    for (const field of form.elements) {
      if (!field.name || isSecret(field) || field.type === "submit" || field.name === "key") { continue; }
      if ((field.type === "radio" || field.type === "checkbox") && !field.checked) { continue; }
      if (field.value !== "") { kept[field.name] = field.value; }
    }
    return kept;
  }

  function keep(form, withKey) {
    const kept = { entries: entries(form), key: "" };
    // Once a try has left this tablet, only the same mark makes the next try the same act.
    if (withKey || form.dataset.tried) { form.dataset.tried = "yes"; kept.key = form.elements.key ? form.elements.key.value : ""; }
    try { sessionStorage.setItem(shelf(form), JSON.stringify(kept)); } catch (full) { /* the form itself still holds them */ }
  }

  function restore(form) {
    if (document.querySelector("[data-refused]")) { return; }
    let kept = null;
    try { kept = JSON.parse(sessionStorage.getItem(shelf(form))); } catch (spoilt) { kept = null; }
    if (!kept) { return; }
    for (const field of form.elements) {
      if (!field.name || isSecret(field) || !(field.name in kept.entries)) { continue; }
      if (field.type === "radio" || field.type === "checkbox") { field.checked = field.value === kept.entries[field.name]; }
      else { field.value = kept.entries[field.name]; }
    }
    if (kept.key && form.elements.key) { form.elements.key.value = kept.key; form.dataset.tried = "yes"; }
  }

  let failed = null;

  function say(why, form) {
    const banner = document.querySelector("[data-signal]");
    if (!banner) { return; }
    failed = form;
    banner.querySelector("[data-signal-why]").textContent = why;
    banner.querySelector("[data-again]").hidden = !form;
    banner.hidden = false;
    if (form) { banner.querySelector("[data-again]").focus(); }
  }

  // After a swap the event comes from the page, while the form that sent it is already gone from there.
  function formOf(event) {
    const asked = event.detail && event.detail.requestConfig;
    const from = (asked && asked.elt) || event.target;
    return from.closest ? from.closest("form") : null;
  }

  document.addEventListener("input", function (event) {
    const form = formOf(event);
    if (form && form.dataset.keep) { keep(form, false); }
  });
  document.addEventListener("change", function (event) {
    const form = formOf(event);
    if (form && form.dataset.keep) { keep(form, false); }
  });
  document.addEventListener("htmx:beforeRequest", function (event) {
    const form = formOf(event), banner = document.querySelector("[data-signal]");
    if (banner) { banner.hidden = true; }
    if (form && form.dataset.keep) { keep(form, true); }
  });
  document.addEventListener("htmx:afterRequest", function (event) {
    const form = formOf(event);
    if (form && form.dataset.keep && event.detail.xhr.status >= 200 && event.detail.xhr.status < 400) { sessionStorage.removeItem(shelf(form)); }
  });
  document.addEventListener("htmx:sendError", function (event) { say("no answer from the workshop's computer.", formOf(event)); });
  document.addEventListener("htmx:timeout", function (event) { say("the workshop's computer took too long.", formOf(event)); });
  document.addEventListener("htmx:responseError", function (event) {
    if (event.detail.xhr.status >= 500) { say(event.detail.xhr.status === 503 ? "the records can't be written just now." : "the workshop's computer met a fault.", formOf(event)); }
  });
  document.addEventListener("click", function (event) {
    if (event.target.closest("[data-again]") && failed && failed.isConnected) { failed.requestSubmit(); }
  });

  function wake(root) {
    for (const form of root.querySelectorAll("form[data-keep]")) { restore(form); }
  }
  document.addEventListener("DOMContentLoaded", function () { wake(document); });
  document.addEventListener("htmx:load", function (event) { if (document.readyState !== "loading") { wake(event.target); } });
})();
