// What this device remembers until the server has said yes: drafts, what waits to be sent, what was sent.
// In IndexedDB, because of photographs; where there is none, in localStorage without them.
// Every row belongs to one person (body[data-person]); nobody else's are ever read.
(() => {
  "use strict";
  const DAYS_KEPT = 30, PATIENCE_MS = 4_000;
  const NAME = "kept", SHELF = "rows";
  let opening;

  // A sentence of the page's own (program/frame/_words.html), its {names} filled in.
  const say = (name, values = {}) =>
    (document.getElementById("words")?.dataset[name] ?? "").replace(/\{(\w+)\}/g, (_, key) => values[key] ?? "");

  function open() {
    opening ??= new Promise((done, failed) => {
      const asked = window.indexedDB.open(NAME, 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore(SHELF, { keyPath: "key" });
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => failed(asked.error);
      asked.onblocked = () => failed(new Error("blocked"));
    });
    return opening;
  }

  async function inDatabase(mode, act) {
    const database = await open();
    return new Promise((done, failed) => {
      const transaction = database.transaction(SHELF, mode);
      const asked = act(transaction.objectStore(SHELF));
      if (mode === "readwrite") transaction.commit?.(); // at once: the page may be going away
      transaction.oncomplete = () => done(asked.result);
      transaction.onerror = transaction.onabort = () => failed(transaction.error);
    });
  }

  const plainKey = (key) => `${NAME}:${key}`;
  const isFile = ([, value]) => value instanceof Blob && value.size > 0;

  // What waited with a photograph does not go without it, unasked.
  function withoutFiles(row) {
    const entries = row.entries?.filter(([, value]) => typeof value === "string");
    const refused = row.entries?.some(isFile) ? say("noRoom") : row.refused;
    return { ...row, files: [], entries, refused };
  }

  const plainly = {
    put: (row) => localStorage.setItem(plainKey(row.key), JSON.stringify(withoutFiles(row))) ?? row.key,
    get: (key) => JSON.parse(localStorage.getItem(plainKey(key)) ?? "null") ?? undefined,
    delete: (key) => localStorage.removeItem(plainKey(key)),
    getAll: () =>
      Object.keys(localStorage)
        .filter((key) => key.startsWith(plainKey("")))
        .map((key) => JSON.parse(localStorage.getItem(key))),
  };

  const tooLong = () => new Promise((_, failed) => setTimeout(() => failed(new Error("no answer")), PATIENCE_MS));

  async function ask(mode, name, value) {
    try {
      return await Promise.race([inDatabase(mode, (shelf) => shelf[name](value)), tooLong()]);
    } catch {
      try {
        return plainly[name](value);
      } catch {
        return undefined; // a device that keeps nothing: the page works as without this script
      }
    }
  }

  const person = () => document.body.dataset.person ?? "";
  const own = (kind, name) => `${person()}|${kind}|${name}`;

  async function ours(kind) {
    if (!person()) return [];
    const rows = (await ask("readonly", "getAll")) ?? [];
    return rows.filter((row) => row.person === person() && row.kind === kind).sort((a, b) => a.at - b.at);
  }

  function put(kind, name, row) {
    return person()
      ? ask("readwrite", "put", { at: Date.now(), ...row, kind, name, person: person(), key: own(kind, name) })
      : undefined;
  }

  async function forgetOld() {
    const oldest = Date.now() - DAYS_KEPT * 86_400_000;
    for (const row of (await ask("readonly", "getAll")) ?? [])
      if (row.at < oldest) await ask("readwrite", "delete", row.key);
  }

  window.kept = {
    person,
    say,
    ours,
    put,
    forgetOld,
    get: (kind, name) => (person() ? ask("readonly", "get", own(kind, name)) : undefined),
    drop: (kind, name) => ask("readwrite", "delete", own(kind, name)),
  };
})();
