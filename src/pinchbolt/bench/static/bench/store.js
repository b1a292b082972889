// What was done on this tablet and has not arrived yet: one row an act, in the order in which it was done.
// Used by the worker, which alone sends, and by the pages, which show what waits.
self.unsent = (function () {
  "use strict";

  const ACTS = "acts";
  let opened = null;

  function open() {
    opened = opened || new Promise(function (good, bad) {
      const asked = indexedDB.open("pinchbolt", 1);
      asked.onupgradeneeded = function () {
        asked.result.createObjectStore(ACTS, { keyPath: "n", autoIncrement: true }).createIndex("key", "key", { unique: true });
      };
      asked.onsuccess = function () {
        asked.result.onclose = asked.result.onversionchange = function () { asked.result.close(); opened = null; };
        good(asked.result);
      };
      asked.onerror = function () { opened = null; bad(asked.error); };
    });
    return opened;
  }

  // Strict: it is on the disk before anybody is told that it is kept.
  async function run(mode, work) {
    const base = await open();
    return new Promise(function (good, bad) {
      const turn = base.transaction(ACTS, mode, mode === "readwrite" ? { durability: "strict" } : {});
      const asked = work(turn.objectStore(ACTS));
      turn.oncomplete = function () { good(asked.result); };
      turn.onerror = turn.onabort = function () { bad(turn.error || asked.error); };
    });
  }

  return {
    all: function () { return run("readonly", function (acts) { return acts.getAll(); }); },
    one: function (n) { return run("readonly", function (acts) { return acts.get(n); }); },
    // What was left out meanwhile stays out: a row that is gone is not written again.
    change: function (act) {
      return run("readwrite", function (acts) {
        const there = acts.get(act.n);
        there.onsuccess = function () { if (there.result) { acts.put(act); } };
        return there;
      });
    },
    drop: function (n) { return run("readwrite", function (acts) { return acts.delete(n); }); },
    // A double tap carries the same mark: it is the act that lies there already.
    add: async function (act) {
      try { return await run("readwrite", function (acts) { return acts.add(act); }); }
      catch (twice) {
        const there = await run("readonly", function (acts) { return acts.index("key").get(act.key); });
        if (!there) { throw twice; }
        return there.n;
      }
    },
  };
})();
