// No half-entry is lost: what is typed is kept in this tab until it is saved, and a failed request says so plainly.
// Every form that is sent is kept, under its address, its name (data-keep) and what it is about (its hidden fields).
// Secrets and files are never kept; data-keep="no" leaves a whole form out.
(function () {
  "use strict";

  // A sentence in the language of the page: as it stands, or as the page brings it (bench/said_pages.py); values stand in its gaps.
  const brought = document.getElementById("said-here"), instead = brought ? JSON.parse(brought.textContent) : {};
  window.worded = function (text, values) {
    return (instead[text] || text).replace(/\{(\w+)\}/g, function (whole, name) { return values && name in values ? values[name] : whole; });
  };

  const SENT = "pinchbolt sent";

  function keeps(form) { return form && form.method === "post" && form.dataset.keep !== "no"; }

  function isMark(field) { return field.name === "key" || field.name === "csrfmiddlewaretoken" || field.name === "seen" || field.name === "shown"; }

  // Two cards of one page send to one address: what is hidden in them tells them apart, else which of them comes first.
  function shelf(form) {
    const own = what(form);
    let before = 0;
    for (const other of document.forms) {
      if (other === form) { break; }
      if (keeps(other) && other.getAttribute("action") === form.getAttribute("action") && what(other) === own) { before += 1; }
    }
    return before ? own + " " + before : own;
  }

  function what(form) {
    const about = [];
    for (const field of form.elements) { if (field.type === "hidden" && field.name && !isMark(field)) { about.push(field.name + "=" + field.defaultValue); } }
    return ["pinchbolt", form.getAttribute("action"), form.dataset.keep || "", about.join("&")].join(" ");
  }

  // Where a form's entries lie: asked while it stands in its page, since after a swap its place among the others is gone.
  const lies = new WeakMap();

  function isSecret(field) { return field.type === "password" || field.name === "csrfmiddlewaretoken" || field.type === "file"; }

  function entries(form) {
    const kept = {};
    for (const field of form.elements) {
      if (!field.name || isSecret(field) || field.hidden || field.type === "submit" || isMark(field)) { continue; }
      // A list each: several boxes or fields may share a name, and that none is ticked any more is an entry too.
      kept[field.name] = kept[field.name] || [];
      if ((field.type === "radio" || field.type === "checkbox") && !field.checked) { continue; }
      kept[field.name].push(field.value);
    }
    return kept;
  }

  function keep(form, withKey) {
    const kept = { entries: entries(form), key: "" };
    // Once a try has left this tablet, only the same mark makes the next try the same act.
    if (withKey || form.dataset.tried) { form.dataset.tried = "yes"; kept.key = form.elements.key ? form.elements.key.value : ""; }
    if (form.isConnected) { lies.set(form, shelf(form)); }
    try { sessionStorage.setItem(lies.get(form), JSON.stringify(kept)); } catch (full) { /* the form itself still holds them */ }
  }

  function restore(form) {
    if (document.querySelector("[data-refused]")) { return; }
    let kept = null;
    try { kept = JSON.parse(sessionStorage.getItem(shelf(form))); } catch (spoilt) { kept = null; }
    if (!kept) { return; }
    const taken = {};
    for (const field of form.elements) {
      if (!field.name || isSecret(field) || !(field.name in kept.entries)) { continue; }
      const said = kept.entries[field.name];
      if (field.type === "radio" || field.type === "checkbox") { field.checked = said.includes(field.value); }
      else if (field.type !== "hidden" || field.value === "") { field.value = said[(taken[field.name] = (taken[field.name] || 0) + 1) - 1] || ""; }
    }
    if (kept.key && form.elements.key) { form.elements.key.value = kept.key; form.dataset.tried = "yes"; }
  }

  let failed = null;
  // Which of a form's buttons was pressed says what is asked: the next try asks the same.
  const pressed = new WeakMap();

  // Sent by htmx a form stays where it is when no answer comes; the browser itself would show a page of its own in its place.
  // data-whole: what answers is a file, or takes as long as it takes.
  function stay(form) {
    if (form.enctype === "multipart/form-data" || "whole" in form.dataset || !form.closest("main") || form.closest("[hx-boost], [hx-post]")) { return; }
    form.setAttribute("hx-boost", "true");
    htmx.process(form);
  }

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
    if (keeps(form)) { keep(form, false); }
  });
  document.addEventListener("change", function (event) {
    const form = formOf(event);
    if (keeps(form)) { keep(form, false); }
  });
  document.addEventListener("htmx:beforeRequest", function (event) {
    const form = formOf(event), banner = document.querySelector("[data-signal]");
    if (banner) { banner.hidden = true; }
    if (keeps(form)) { keep(form, true); }
  });
  // htmx forgets the button as soon as the focus leaves it, as it does for "try again".
  document.addEventListener("htmx:configRequest", function (event) {
    const told = event.detail, button = told.triggeringEvent && told.triggeringEvent.submitter;
    if (told.elt.tagName !== "FORM") { return; }
    pressed.set(told.elt, button || null);
    if (!button) { return; }
    if (button.name && !told.formData.getAll(button.name).includes(button.value)) { told.formData.append(button.name, button.value); }
    if (button.hasAttribute("formaction")) { told.path = button.getAttribute("formaction"); }
  });
  document.addEventListener("htmx:afterRequest", function (event) {
    const form = formOf(event);
    if (keeps(form) && event.detail.xhr.status >= 200 && event.detail.xhr.status < 400) { sessionStorage.removeItem(lies.get(form) || shelf(form)); }
  });
  document.addEventListener("htmx:sendError", function (event) { say(worded("no answer from the workshop's computer."), formOf(event)); });
  document.addEventListener("htmx:timeout", function (event) { say(worded("the workshop's computer took too long."), formOf(event)); });
  document.addEventListener("htmx:responseError", function (event) {
    if (event.detail.xhr.status >= 500) { say(event.detail.xhr.status === 503 ? worded("the records can't be written just now.") : worded("something went wrong."), formOf(event)); }
  });
  document.addEventListener("click", function (event) {
    if (!event.target.closest("[data-again]") || !failed || !failed.isConnected) { return; }
    const button = pressed.get(failed);
    failed.requestSubmit(button && button.form === failed ? button : null);
  });

  // A form that is sent without htmx: the page that answers says whether it was saved. Going back is no answer.
  document.addEventListener("submit", function (event) {
    const form = event.target;
    if (!keeps(form)) { return; }
    keep(form, true);
    if (!form.closest("[hx-boost], [hx-post]")) { sessionStorage.setItem(SENT, shelf(form)); }
  });

  function answered() {
    const sent = sessionStorage.getItem(SENT), came = performance.getEntriesByType("navigation")[0];
    if (!sent || (came && came.type === "back_forward")) { return; }
    // A page of then that says it was not saved has no entries of its own: they stay kept.
    if (!document.querySelector("[data-refused], [data-unsaved]")) { sessionStorage.removeItem(sent); }
    sessionStorage.removeItem(SENT);
  }

  function wake(root) {
    for (const form of root.querySelectorAll("form")) {
      if (form.method === "post") { stay(form); }
      if (keeps(form)) { restore(form); }
    }
  }
  document.addEventListener("DOMContentLoaded", function () { answered(); wake(document); });
  document.addEventListener("htmx:load", function (event) { if (document.readyState !== "loading") { wake(event.target); } });
})();
