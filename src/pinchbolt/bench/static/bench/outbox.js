// The pages' side of what waits on this tablet: starts the worker, says what is to be kept, and shows what has not arrived.
(function () {
  "use strict";

  const own = document.currentScript.dataset, EVERY_MS = 15000, LONGEST = 160;
  const NAMES = "pinchbolt people";
  let able = window.isSecureContext && "serviceWorker" in navigator && "locks" in navigator;

  function post(told) {
    if (!able) { return; }
    navigator.serviceWorker.ready.then(function (there) { there.active.postMessage(told); });
  }

  // ---- what was typed, in words for the list ------------------------------------------------------------------------

  function labelOf(field) {
    const around = field.closest("label");
    return around ? around.innerText.replace(/\s+/g, " ").trim() : "";
  }

  function said(form, button) {
    const words = [];
    for (const field of form.elements) {
      if (field.type === "radio" || field.type === "checkbox") { if (field.checked) { words.push(labelOf(field)); } }
      else if (field.type === "file") { for (const one of field.files) { words.push(one.name); } }
      else if (["text", "number", "textarea"].includes(field.type) && field.value) { words.push(field.value); }
    }
    if (button && button.innerText) { words.push(button.innerText.replace(/\s+/g, " ").trim()); }
    return words.join("; ").slice(0, LONGEST);
  }

  document.addEventListener("submit", function (event) {
    const form = event.target;
    if (!form.action || !new URL(form.action).searchParams.has("waits")) { return; }
    let field = form.elements.shown;
    if (!field) {
      field = document.createElement("input");
      field.type = "hidden";
      field.name = "shown";
      form.append(field);
    }
    field.value = said(form, event.submitter);
  }, true);

  // ---- what waits -----------------------------------------------------------------------------------------------------

  function names() { try { return JSON.parse(localStorage.getItem(NAMES)) || {}; } catch (spoilt) { return {}; } }

  function person() { return Number(document.body.dataset.person || 0); }

  function rememberName() {
    if (!person()) { return; }
    localStorage.setItem(NAMES, JSON.stringify({ ...names(), [person()]: document.body.dataset.name }));
  }

  function clock(made) {
    const then = new Date(made), today = new Date().toDateString() === then.toDateString();
    return then.toLocaleString("en-GB", today ? { hour: "2-digit", minute: "2-digit" } : { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });
  }

  function line(tag, className, words) {
    const made = document.createElement(tag);
    if (className) { made.className = className; }
    made.textContent = words;
    return made;
  }

  function nameOf(one) { return names()[one.by] || worded("another person"); }

  function inWords(one) { return clock(one.made) + " " + one.kind + (one.shown ? ": " + one.shown : ""); }

  function showStrip(acts) {
    const strip = document.querySelector("[data-unsent]");
    if (!strip) { return; }
    const refused = acts.filter(function (one) { return one.state === "refused"; }).length;
    const others = acts.some(function (one) { return one.by !== person(); });
    strip.hidden = acts.length === 0;
    const one = refused === 1 ? worded("; {count} was not taken", { count: refused }) : worded("; {count} were not taken", { count: refused });
    const told = { count: acts.length, more: (refused ? one : "") + (others ? worded("; a PIN is needed") : "") };
    strip.querySelector("[data-unsent-words]").textContent = acts.length === 1
      ? worded("{count} entry is on this tablet and not in the book yet{more}.", told)
      : worded("{count} entries are on this tablet and not in the book yet{more}.", told);
  }

  // On the form itself: what was done stands there, so that nobody does it again.
  function showAtForms(acts) {
    for (const old of document.querySelectorAll("[data-waits-here]")) { old.remove(); }
    for (const one of acts) {
      for (const form of document.forms) {
        if (form.method !== "post" || new URL(form.action).pathname !== one.path || !sameThing(form, one)) { continue; }
        const note = line("p", "doubt", one.state === "refused" ? worded("{what} was not taken: {reason}", { what: inWords(one), reason: one.reason }) : worded("{what} waits to be sent", { what: inWords(one) }));
        note.dataset.waitsHere = "";
        form.before(note);
        break;
      }
    }
  }

  function sameThing(form, one) {
    for (const field of form.elements) {
      if (field.type !== "hidden" || ["key", "csrfmiddlewaretoken", "seen", "shown"].includes(field.name)) { continue; }
      if (!one.fields.some(function (told) { return told[0] === field.name && told[1] === field.value; })) { return false; }
    }
    return true;
  }

  // ---- the page of what waits -----------------------------------------------------------------------------------------

  function button(words, act) {
    const made = line("button", "act plain", words);
    made.type = "button";
    made.addEventListener("click", act);
    return made;
  }

  function leaveOut(one) {
    const more = document.createElement("details");
    more.append(line("summary", "act plain", worded("leave it out")));
    more.append(line("p", "", one.tries ? worded("It may have arrived all the same: look at the job where there is signal.") : worded("It was never sent, and is gone then.")));
    more.append(button(worded("yes, leave it out"), async function () { await self.unsent.drop(one.n); await show(); post({ send: true }); }));
    return more;
  }

  function why(one, stopped) {
    if (one.state === "refused") { return worded("Not taken: {reason}", { reason: one.reason }); }
    if (stopped.has(one.job)) { return worded("Waits behind the one that was not taken."); }
    if (one.by !== person()) { return worded("Done by {name}: it is sent once they are at the tablet by their PIN.", { name: nameOf(one) }); }
    if (!one.tries) { return worded("Waits to be sent."); }
    const told = { count: one.tries, reason: one.reason ? ", " + one.reason : "" };
    return one.tries === 1 ? worded("Waits to be sent: tried {count} time{reason}.", told) : worded("Waits to be sent: tried {count} times{reason}.", told);
  }

  function showList(acts) {
    const list = document.querySelector("[data-unsent-list]");
    if (!list) { return; }
    const stopped = new Set();
    list.replaceChildren(...acts.map(function (one) {
      const item = document.createElement("li"), words = document.createElement("div");
      words.append(line("strong", "", (one.tag ? one.tag + ", " : "") + inWords(one)), line("p", one.state === "refused" ? "doubt" : "note", why(one, stopped)));
      item.className = "receipt-act";
      item.append(words);
      if (one.state === "refused") {
        stopped.add(one.job);
        item.append(button(worded("try again"), async function () { await self.unsent.change({ ...one, state: "waits" }); post({ send: true }); }));
      }
      if (one.from) {
        const there = line("a", "act plain", worded("open the page"));
        there.href = one.from;
        item.append(there);
      }
      item.append(leaveOut(one));
      return item;
    }));
    if (!acts.length) { list.replaceChildren(line("li", "note", worded("nothing: all that was done on this tablet is in the book"))); }
    document.querySelector("[data-unsent-pin]").hidden = !acts.some(function (one) { return one.by !== person(); });
  }

  async function showPromise() {
    const place = document.querySelector("[data-kept-words]");
    if (!place) { return; }
    if (!able) {
      place.textContent = worded("This tablet keeps nothing without signal: {why} What is typed stays in the page while it is open.", { why: window.isSecureContext
        ? worded("its browser does not allow it (a certificate that it does not trust, or a private window).")
        : worded("the bench book is opened here by a plain http address, and a browser allows it only by https.") });
      return;
    }
    const kept = await navigator.storage.persisted() || await navigator.storage.persist();
    place.textContent = kept ? worded("The browser keeps what waits here, also when the tablet's disk fills up.")
      : worded("The browser did not promise to keep what waits here: it may throw it away when the tablet's disk is full, or after weeks without a visit. Send it soon; put the bench book on the home screen to be asked again.");
  }

  async function show() {
    const acts = await self.unsent.all();
    showStrip(acts);
    showAtForms(acts);
    showList(acts);
    return acts.length;
  }

  // ---- waking up ------------------------------------------------------------------------------------------------------

  function shellHere() {
    const found = performance.getEntriesByType("resource").map(function (one) { return one.name; });
    return [...new Set(found.filter(function (one) { return one.startsWith(new URL(own.shell, location.href).href); }))];
  }

  async function begin() {
    rememberName();
    if (able) {
      // A browser that does not trust the certificate, or keeps nothing at all, refuses.
      try { await navigator.serviceWorker.register(own.worker, { scope: own.scope }); } catch (refused) { able = false; }
    }
    showPromise();
    if (!person()) { post({ forget: true }); return; }
    post({ shell: shellHere() });
    if (!document.querySelector("[data-as-of] p")) {
      const all = "deep" in document.body.dataset;
      const ahead = [...document.querySelectorAll("[data-ahead]")].map(function (one) { return [one.href, all || one.dataset.ahead === "deep"]; });
      post({ ahead: [[window.location.href, false], [own.box, false], ...ahead] });
    }
    if (await show()) { post({ send: true }); }
  }

  if (able) {
    navigator.serviceWorker.addEventListener("message", function (event) {
      const way = document.querySelector("[data-unsent-sign-in]");
      if (way && event.data.signedOut) { way.hidden = false; }
      show();
    });
    window.addEventListener("online", function () { post({ send: true }); });
    setInterval(async function () { if ((await self.unsent.all()).length) { post({ send: true }); } }, EVERY_MS);
  }
  document.addEventListener("click", function (event) { if (event.target.closest("[data-send-now]")) { post({ send: true }); } });
  document.addEventListener("htmx:load", function () { if (able && document.readyState === "complete") { show(); } });
  window.addEventListener("load", function () { begin(); });
})();
