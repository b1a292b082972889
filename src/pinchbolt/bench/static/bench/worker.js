// Between the pages and the workshop's computer: keeps what was done until it has arrived, and what was read for when there
// is no signal. A form whose address says that it can wait (waits=) is written down here first and sent from here, by one
// sender, in the order of its job; the mark in it makes a second sending the same act. Nothing is worked out here: a page
// without signal is the page of then, and says so.
importScripts("store.js");
(function () {
  "use strict";

  const PAGES = "pages", SHELL = "shell", DAY_MS = 24 * 3600 * 1000, YOUNG_MS = 20 * 60 * 1000;
  const PATIENCE_MS = 6000, GIVE_UP_MS = 45000, MOST_AHEAD = 60;
  const AHEAD = new RegExp('data-ahead href=.([^"]+)"', "g"), MARK = new RegExp('(name="key" value=")[^"]*"', "g");
  const home = new URL(self.location.href).searchParams.get("unsent");
  const answers = new Map();

  self.addEventListener("install", function () { self.skipWaiting(); });
  self.addEventListener("activate", function (event) { event.waitUntil(self.clients.claim()); });

  self.addEventListener("fetch", function (event) {
    const request = event.request, url = new URL(request.url);
    if (url.origin !== self.location.origin) { return; }
    if (request.method === "POST" && url.searchParams.has("waits")) { event.respondWith(act(event, request, url)); }
    else if (request.method === "POST" && request.mode === "navigate") { event.respondWith(needsSignal(request)); }
    else if (request.method === "GET" && request.mode === "navigate") { event.respondWith(page(event, request)); }
    else if (request.method === "GET" && request.destination !== "" && url.pathname.startsWith(folder())) { event.respondWith(shell(event, request)); }
  });

  self.addEventListener("message", function (event) {
    if (event.data.send) { event.waitUntil(send()); }
    if (event.data.forget) { event.waitUntil(caches.delete(PAGES)); }
    if (event.data.shell) { event.waitUntil(keepShell(event.data.shell)); }
    if (event.data.ahead) { event.waitUntil(readAhead(event.data.ahead)); }
  });

  function folder() { return new URL("..", self.location.href).pathname; }

  // ---- acts -----------------------------------------------------------------------------------------------------------

  async function act(event, request, url) {
    const headers = [...request.headers].filter(function (one) { return one[0].startsWith("hx-"); });
    const fields = await fieldsOf(request.clone());
    const key = (fields.find(function (one) { return one[0] === "key"; }) || ["", ""])[1];
    const shown = (fields.find(function (one) { return one[0] === "shown"; }) || ["", ""])[1];
    const about = url.searchParams;
    const row = {
      key: key, path: url.pathname, fields: fields, kind: about.get("waits"), by: Number(about.get("by")), job: about.get("job") || url.pathname,
      tag: about.get("tag") || "", shown: shown, from: request.referrer, made: Date.now(), tries: 0, state: "waits", reason: "",
    };
    let n;
    try { n = await self.unsent.add(row); }
    // A box that takes nothing, on a full disk or of another age, never stands in the way of the signal that there is.
    catch (full) { return request.mode === "navigate" ? needsSignal(request) : fetch(request); }
    const answer = await answerOf(event, n, headers);
    tell();
    return answer ? onward(request, answer, headers) : kept(request);
  }

  // The answer where it comes while somebody waits for it; else nothing, and the act stays in the box.
  function answerOf(event, n, headers) {
    return new Promise(function (done) {
      answers.set(n, { done: done, headers: headers });
      const sent = send().catch(function () { /* it stays in the box */ }).then(function () { answers.delete(n); done(null); });
      event.waitUntil(sent);
      setTimeout(function () { answers.delete(n); done(null); }, PATIENCE_MS);
    });
  }

  async function onward(request, answer, headers) {
    const see = answer.headers.get("X-Act-See");
    if (!see) { return answer; }
    if (request.mode === "navigate") { return Response.redirect(new URL(see, self.location.href).href, 303); }
    return fetch(see, { headers: headers });
  }

  // Kept on the tablet: the page again, which shows what waits.
  function kept(request) {
    if (request.mode === "navigate") { return Response.redirect(request.referrer || home, 303); }
    return new Response("", { headers: { "HX-Refresh": "true" } });
  }

  async function fieldsOf(request) {
    const fields = [];
    for (const [name, value] of await request.formData()) {
      // A photo as its bytes: they lie in the box with the rest, and not in a file of their own.
      fields.push([name, typeof value === "string" ? value : { name: value.name, type: value.type, bytes: await value.arrayBuffer() }]);
    }
    return fields;
  }

  function bodyOf(act, token) {
    const plain = act.fields.every(function (one) { return typeof one[1] === "string"; });
    const body = plain ? new URLSearchParams() : new FormData();
    for (const [name, value] of act.fields) {
      if (name === "shown") { continue; }
      if (typeof value !== "string") { body.append(name, new File([value.bytes], value.name, { type: value.type })); }
      else { body.append(name, name === "csrfmiddlewaretoken" && token ? token : value); }
    }
    return body;
  }

  // One sender, whatever wakes it: the lock lets one run at a time, also beside another worker that is just being replaced.
  function send() { return navigator.locks.request("pinchbolt sender", sendAll).then(function () { return tell(); }); }

  async function sendAll() {
    const held = new Set();
    let here = null;
    for (const { n } of await self.unsent.all()) {
      // Read again before its turn: while the one before it was under way, it may have been left out.
      const one = await self.unsent.one(n);
      if (!one) { continue; }
      if (one.state === "refused") { held.add(one.job); }
      if (held.has(one.job)) { continue; }
      if (!answers.has(one.n) || one.tries) {
        here = here || await whoIsHere();
        if (here.nobody) { return tell({ signedOut: true }); }
        if (here.away) { return; }
        if (here.person !== one.by) { held.add(one.job); continue; }
      }
      const went = await sendOne(one, here && here.token);
      if (went === "no answer") { return; }
      if (went !== "arrived") { held.add(one.job); }
    }
  }

  async function sendOne(one, token) {
    const waiting = answers.get(one.n);
    const headers = [...((waiting && waiting.headers) || []), ["X-Act-By", String(one.by)], ["X-Act-Age", String(Math.round((Date.now() - one.made) / 1000))]];
    let answer;
    try { answer = await fetch(one.path, { method: "POST", body: bodyOf(one, token), headers: headers, redirect: "manual", signal: AbortSignal.timeout(GIVE_UP_MS) }); }
    catch (nothing) { await triedOnce(one, "no answer"); return "no answer"; }
    const other = answer.headers.has("X-Act-Again");
    if (answer.ok) {
      await self.unsent.drop(one.n);
      deliver(one.n, answer);
      return "arrived";
    }
    if (other || answer.status >= 500 || [408, 425, 429].includes(answer.status)) {
      await triedOnce(one, other ? "" : "the workshop's computer could not take it just now");
      return "again";
    }
    // Somebody sees the refusal with all they typed; where nobody waits for it, it is laid aside with its reason.
    if (answers.has(one.n)) { await self.unsent.drop(one.n); deliver(one.n, answer); return "arrived"; }
    await self.unsent.change({ ...one, state: "refused", tries: one.tries + 1, reason: decodeURIComponent(answer.headers.get("X-Refused") || "") || "refused (" + answer.status + ")" });
    return "refused";
  }

  function deliver(n, answer) {
    const waiting = answers.get(n);
    if (waiting) { waiting.done(answer); }
  }

  function triedOnce(one, reason) { return self.unsent.change({ ...one, tries: one.tries + 1, reason: reason }); }

  // Who is signed in, and the token of this sign-in; or that nobody is, or that there is no answer.
  async function whoIsHere() {
    try {
      const answer = await fetch(home, { signal: AbortSignal.timeout(GIVE_UP_MS) });
      const said = await answer.text();
      const person = said.match(/data-person="(\d+)"/), token = said.match(/name="csrfmiddlewaretoken" value="([^"]+)"/);
      if (!answer.ok) { return { away: true }; }
      return person && token ? { person: Number(person[1]), token: token[1] } : { nobody: true };
    } catch (nothing) { return { away: true }; }
  }

  async function tell(more) {
    for (const one of await self.clients.matchAll()) { one.postMessage({ unsent: true, ...more }); }
  }

  // ---- pages ----------------------------------------------------------------------------------------------------------

  async function page(event, request) {
    const copy = await copyOf(request.url);
    try {
      const answer = await fetch(request, copy ? { signal: AbortSignal.timeout(PATIENCE_MS) } : {});
      event.waitUntil(keepPage(request.url, answer.clone()));
      return answer;
    } catch (nothing) {
      if (copy) { return asOf(copy, ""); }
      const box = await copyOf(new URL(home, self.location.href).href);
      return box ? asOf(box, "There is no copy of that page on this tablet: open it where there is signal.") : Response.error();
    }
  }

  async function needsSignal(request) {
    const again = request.clone();
    try { return await fetch(request); }
    catch (nothing) {
      const copy = await copyOf(again.referrer);
      return copy ? asOf(copy, "Not saved: this needs the workshop's computer. What you typed is still here.", true) : Response.error();
    }
  }

  function named(address) {
    const url = new URL(address);
    url.searchParams.delete("at");
    url.hash = "";
    return url.href;
  }

  async function copyOf(address) {
    if (!address) { return undefined; }
    const pages = await caches.open(PAGES), name = named(address);
    const copy = await pages.match(name) || await pages.match(name, { ignoreSearch: true });
    return copy && Date.now() - Number(copy.headers.get("X-Kept-At")) < DAY_MS ? copy : undefined;
  }

  // What may be kept says so in its head: whose page it is, of which job; the shop day says which jobs are open.
  async function keepPage(address, answer) {
    const told = (answer.headers.get("X-Keep") || "").split(" ");
    if (answer.status !== 200 || told.length < 2) { return; }
    const headers = new Headers(answer.headers), body = await answer.blob();
    headers.set("X-Kept-At", String(Date.now()));
    const pages = await caches.open(PAGES);
    for (const request of await pages.keys()) {
      const old = await pages.match(request), was = old.headers.get("X-Keep").split(" ");
      const over = was[0] === "job" && told[0] === "day" && !told.includes(was[2], 2);
      if (was[1] !== told[1] || over || Date.now() - Number(old.headers.get("X-Kept-At")) > DAY_MS) { await pages.delete(request); }
    }
    await pages.put(named(address), new Response(body, { headers: headers }));
  }

  // The page of then: says of when it is, and each form gets a mark of its own, as on a page that was made anew.
  async function asOf(copy, words, unsaved) {
    const then = new Date(Number(copy.headers.get("X-Kept-At")));
    const when = then.toLocaleString("en-GB", { weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });
    const band = '<div class="as-of" role="status" data-as-of' + (unsaved ? " data-unsaved" : "") + "><p><strong>No signal.</strong> " + (words ? words + " " : "") +
      "This page is of <strong>" + when + "</strong>: settings, prices and verdicts on it are of then, and can't be told now. Readings, checks, done lines, done values, photos and notes are kept on this tablet and sent later.</p></div>";
    const said = (await copy.text())
      .replace(/<div class="as-of" data-as-of hidden><\/div>/, band)
      .replace(MARK, function (_, before) { return before + crypto.randomUUID().replaceAll("-", "") + '"'; });
    return new Response(said, { headers: copy.headers });
  }

  // What will be opened next, before the signal goes: each page, and from a bike on a stand the places and joints on it too.
  async function readAhead(told) {
    const asked = told.map(function (one) { return [new URL(one[0], self.location.href).href, one[1]]; });
    for (let place = 0; place < asked.length && place < MOST_AHEAD; place += 1) {
      const [address, deep] = asked[place], copy = await copyOf(address);
      if (copy && Date.now() - Number(copy.headers.get("X-Kept-At")) < YOUNG_MS) { continue; }
      let answer;
      try { answer = await fetch(address, { priority: "low" }); } catch (nothing) { return; }
      if (deep) {
        for (const one of (await answer.clone().text()).matchAll(AHEAD)) {
          const further = new URL(one[1], self.location.href).href;
          if (!asked.some(function (known) { return known[0] === further; })) { asked.push([further, false]); }
        }
      }
      await keepPage(address, answer);
      // What is read ahead never stands in the way of what somebody waits for.
      await new Promise(function (done) { setTimeout(done, 300); });
    }
  }

  // ---- style, script and letters -------------------------------------------------------------------------------------

  async function shell(event, request) {
    const there = await caches.open(SHELL);
    try {
      const answer = await fetch(request);
      if (answer.ok) { event.waitUntil(there.put(request, answer.clone())); }
      return answer;
    } catch (nothing) { return await there.match(request) || Response.error(); }
  }

  async function keepShell(addresses) {
    const there = await caches.open(SHELL);
    for (const address of addresses) {
      if (!await there.match(address)) { await there.add(address).catch(function () { /* the next page tries again */ }); }
    }
  }
})();
