// Sending: a form without an answer waits on the device and is sent again, with the same one-time token,
// which the server takes once. A form that was sent already says so when Back shows it.
(() => {
  "use strict";
  const { kept } = window;
  const NO_ANSWER_MS = 20_000, FIRST_WAIT_MS = 5_000, LONGEST_WAIT_MS = 300_000, MOST_BROKEN = 3;
  const body = () => document.body.dataset;
  const cookie = (name) => document.cookie.match(new RegExp(`(?:^|; )${name}=([^;]*)`))?.[1];
  let waitMs = FIRST_WAIT_MS, timer, isFlushing = false;

  function dataOf(row) {
    const sent = new FormData();
    for (const [name, value] of row.entries) sent.append(name, value);
    sent.set("csrfmiddlewaretoken", cookie("rayward_csrf") ?? "");
    return sent;
  }

  // What became of it: written, refused (a page to show), out (signed out), broken (5xx) or nothing (no answer).
  function post(row) {
    return new Promise((done) => {
      const request = new XMLHttpRequest();
      let silence;
      const listen = () => {
        clearTimeout(silence);
        silence = setTimeout(() => request.abort(), NO_ANSWER_MS);
      };
      request.open("POST", row.action);
      request.setRequestHeader("X-Kept", row.person);
      request.setRequestHeader("X-Waited-Seconds", String(Math.round((Date.now() - row.at) / 1000)));
      request.upload.onprogress = request.onprogress = listen;
      request.onloadend = () => {
        clearTimeout(silence);
        done(outcome(request));
      };
      listen();
      request.send(dataOf(row));
    });
  }

  function outcome(request) {
    const { status, responseText: html } = request;
    const address = request.getResponseHeader("X-Go-To");
    if (!status) return { kind: "nothing" };
    if (status === 401) return { kind: "out" };
    if (address) return { kind: "written", address };
    if (!request.getResponseHeader("Content-Type")?.startsWith("text/html")) return { kind: "other", status };
    if (status >= 500) return { kind: "broken", status, words: wordsOf(html), html };
    return { kind: "refused", status, words: wordsOf(html), html };
  }

  function wordsOf(html) {
    const page = new DOMParser().parseFromString(html, "text/html");
    return page.querySelector(".messages .error, .wrong h2, h1")?.textContent.trim().replace(/\s+/g, " ") ?? "";
  }

  // A stale security cookie: any page of the program gives a fresh one; then once more.
  async function send(row) {
    const first = await post(row);
    if (first.status !== 403) return first;
    try {
      await fetch(body().day, { signal: AbortSignal.timeout?.(NO_ANSWER_MS) });
    } catch {
      return { kind: "nothing" };
    }
    return post(row);
  }

  async function wasWritten(row, address) {
    await kept.put("sent", row.name, { title: row.title, address });
    await kept.drop("waiting", row.name);
    await kept.drop("draft", row.draft);
  }

  // ---------------------------------------------------------------- Save

  const titleOf = () => document.querySelector("main h1")?.firstChild?.textContent.trim() || document.title;

  function toldOf(form, button) {
    if (form.dataset.tells) return `${titleOf()}: ${form.dataset.tells}`;
    return hasTyped(form) || !button ? titleOf() : `${titleOf()}: ${button.textContent.trim()}`;
  }

  function rowOf(form, button) {
    const data = button ? new FormData(form, button) : new FormData(form);
    return {
      ...{ name: form.elements.once.value, draft: kept.nameOf(form), person: kept.person() },
      ...{ action: kept.actionOf(form), page: location.pathname + location.search, at: Date.now() },
      title: toldOf(form, button),
      entries: [...data].filter(([name]) => name !== "csrfmiddlewaretoken"),
    };
  }

  const hasTyped = (form) => Object.keys(kept.draftOf(form).typed).length > 0;
  const hasPassword = (form) => [...form.elements].some((one) => one.type === "password");
  const isOurs = (form) =>
    kept.person() && kept.writing().includes(form) && !form.target && !form.elements.look_over;

  async function submit(event) {
    const form = event.target;
    if (event.defaultPrevented || !isOurs(form)) return;
    event.preventDefault();
    if (form.dataset.sending || form.dataset.spent) return;
    const row = rowOf(form, event.submitter);
    busy(form, event.submitter, kept.say("sending"));
    await kept.put("draft", row.draft, { ...kept.draftOf(form), sent: row.name });
    row.isKept = !hasPassword(form) && Boolean(await kept.put("waiting", row.name, row)); // never a password
    await answer(form, row, await send(row));
  }

  async function answer(form, row, became) {
    if (became.kind === "written") {
      await wasWritten(row, became.address);
      form.dataset.spent = "1";
      go(became.address);
    } else if (became.kind === "refused") {
      await kept.drop("waiting", row.name);
      free(form);
      if (became.status === 403 || became.status === 404)
        kept.tell(form, kept.line(kept.say("notWritten", { why: kept.sentence(became.words) })));
      else show(became.html, row.action, new URL(form.getAttribute("action") || "", location.href).hash);
    } else if (became.kind === "other") {
      await kept.drop("waiting", row.name);
      form.submit(); // a file, or something else that the browser shows better
    } else if (row.isKept === false) {
      free(form);
      kept.tell(form, kept.line(kept.say("notKept", { why: whyOf(became) })));
    } else if (became.kind === "out") {
      waits(form, row, kept.line(kept.say("keptSignedOut"), [kept.say("signInToSend"), signIn()]));
    } else {
      const words = kept.say("keptNotSent", { why: whyOf(became) });
      const back = [kept.say("doNotSend"), () => takeBack(form, row)];
      waits(form, row, kept.line(words, ...another(form), [kept.say("sendNow"), flush], back));
      later();
    }
  }

  // The log lies on the device: while one entry waits, the next is written.
  const another = (form) =>
    form.matches("[data-log]") ? [[kept.say("freshForm"), location.pathname + location.search]] : [];

  function whyOf({ kind, words, status }) {
    if (kind === "out") return kept.say("signedOut");
    if (kind !== "broken") return kept.say("noConnection");
    return `${kept.sentence(words || kept.say("serverCouldNot"))} (${status})`;
  }

  const signIn = () => `${body().signIn}?next=${encodeURIComponent(location.pathname + location.search)}`;

  function busy(form, button, words) {
    form.dataset.sending = "1";
    for (const one of form.querySelectorAll("button:not([type=button])")) one.setAttribute("aria-disabled", "true");
    if (!button || button.dataset.said) return;
    button.dataset.said = button.innerHTML;
    button.textContent = words;
  }

  function free(form) {
    delete form.dataset.sending;
    for (const one of form.querySelectorAll("button")) {
      one.removeAttribute("aria-disabled");
      if (one.dataset.said) one.innerHTML = one.dataset.said;
      delete one.dataset.said;
    }
  }

  function waits(form, row, said) {
    form.dataset.waits = row.name;
    for (const one of form.querySelectorAll("[data-said]")) one.textContent = kept.say("waits");
    kept.tell(form, said);
  }

  async function takeBack(form, row) {
    await kept.drop("waiting", row.name);
    delete form.dataset.waits;
    free(form);
    kept.tell(form, kept.line(kept.say("takenBack")));
  }

  // As if the browser had followed the answer itself.
  function go(address) {
    const to = new URL(address, location.href), here = new URL(location.href);
    if (to.pathname + to.search !== here.pathname + here.search) return location.assign(to);
    if (document.body.classList.contains("day")) return location.reload(); // the page stays where it was
    if (!to.hash) return location.replace(to);
    history.replaceState(null, "", to);
    return location.reload();
  }

  // The refused form takes the place of the page; a form without an address keeps the one it came from.
  // Where nothing is wrong, and the form asked for a place of the page by its address, that is shown.
  function show(html, action, hash) {
    const page = new DOMParser().parseFromString(html, "text/html");
    for (const form of page.querySelectorAll("form:not([action])")) form.setAttribute("action", action);
    document.title = page.title;
    document.body.replaceWith(document.adoptNode(page.body));
    window.htmx?.process(document.body);
    const place = !document.querySelector(".wrong") && hash && document.getElementById(hash.slice(1));
    if (place) place.scrollIntoView();
    else window.scrollTo(0, 0);
    kept.start();
  }

  // ---------------------------------------------------------------- what waits

  async function flush() {
    if (isFlushing || !kept.person()) return;
    isFlushing = true;
    let isOut = false;
    clearTimeout(timer);
    try {
      for (const row of await kept.ours("waiting")) {
        const form = kept.writing().find((one) => one.dataset.waits === row.name);
        const inHand = kept.writing().some((one) => one.dataset.sending && one.elements.once.value === row.name);
        if (row.refused || (inHand && !form)) continue; // refused, or being sent by its own form just now
        const became = await send(row);
        isOut = became.kind === "out";
        if (became.kind === "nothing" || isOut) break;
        waitMs = FIRST_WAIT_MS;
        if (form) await answer(form, row, became);
        else await settle(row, became);
      }
    } finally {
      isFlushing = false;
    }
    await sayWhatWaits(isOut);
    await saySentElsewhere();
  }

  async function settle(row, became) {
    if (became.kind === "written") {
      await wasWritten(row, became.address);
      const words = kept.say("sent", { title: row.title, when: kept.when(row.at) });
      notices().append(kept.line(words, [kept.say("lookAtIt"), became.address]));
    } else {
      const broken = (row.broken ?? 0) + 1, isOver = became.kind === "refused" || broken > MOST_BROKEN;
      const refused = isOver ? became.words || kept.say("refused") : undefined;
      await kept.put("waiting", row.name, { ...row, broken, refused });
    }
  }

  function later() {
    clearTimeout(timer);
    timer = setTimeout(flush, waitMs);
    waitMs = Math.min(waitMs * 2, LONGEST_WAIT_MS);
  }

  function notices() {
    let place = document.getElementById("kept");
    if (!place) {
      place = document.createElement("div");
      place.id = "kept";
      document.querySelector("main").prepend(place);
    }
    return place;
  }

  // Another page of this phone has sent what waits here.
  async function saySentElsewhere() {
    for (const form of kept.writing().filter((one) => one.dataset.waits)) {
      const receipt = await kept.get("sent", form.dataset.waits);
      if (receipt) saySpent(form, receipt);
    }
  }

  async function sayWhatWaits(isOut = false) {
    for (const one of document.querySelectorAll("#kept .waits")) one.remove();
    const rows = await kept.ours("waiting");
    for (const row of rows.filter((one) => one.refused)) sayRefused(row);
    const waiting = rows.filter((row) => !row.refused);
    const elsewhere = waiting.filter((row) => !kept.writing().some((one) => one.elements.once.value === row.name));
    if (elsewhere.length) {
      const number = elsewhere.length, many = number === 1 ? "oneWaits" : "severalWait";
      const names = elsewhere.map((row) => `${row.title}, ${kept.when(row.at)}`).join("; ");
      const press = isOut ? [kept.say("signInToSend"), signIn()] : [kept.say("sendNow"), flush];
      const said = kept.line(kept.say(many, { number, names }), press);
      said.classList.add("waits", "soon");
      notices().append(said);
    }
    if (waiting.length) later();
  }

  function sayRefused(row) {
    const open = async () => {
      await kept.drop("waiting", row.name);
      location.assign(row.page);
    };
    const away = async () => {
      await kept.drop("waiting", row.name);
      await kept.drop("draft", row.draft);
      sayWhatWaits();
    };
    const told = { title: row.title, when: kept.when(row.at), why: kept.sentence(row.refused) };
    const presses = [[kept.say("openForm"), open], [kept.say("putAway"), away]];
    const said = kept.line(kept.say("wasRefused", told), ...presses);
    said.classList.add("waits", "error");
    notices().append(said);
  }

  // ---------------------------------------------------------------- Back

  async function receiptOf(token, asksServer) {
    const known = await kept.get("sent", token);
    if (known || !asksServer) return known;
    try {
      const answer = await fetch(body().once.replace("TOKEN", encodeURIComponent(token)));
      const told = answer.ok ? await answer.json() : {};
      return told.spent ? { title: told.said, address: told.address } : undefined;
    } catch {
      return undefined;
    }
  }

  function saySpent(form, receipt) {
    free(form);
    form.dataset.spent = "1";
    for (const one of form.querySelectorAll("button:not([type=button])")) one.disabled = true;
    const fresh = () => location.replace(location.pathname + location.search);
    const presses = [[kept.say("freshForm"), fresh]];
    if (receipt.address) presses.unshift([kept.say("lookAtIt"), receipt.address]);
    kept.tell(form, kept.line(kept.say("wasSent", { title: receipt.title || kept.say("isWritten") }), ...presses));
  }

  async function cameBack(isBack) {
    for (const form of kept.writing()) {
      const receipt = await receiptOf(form.elements.once.value, isBack);
      if (receipt) saySpent(form, receipt);
      else if (isBack && !form.dataset.waits) free(form);
    }
  }

  window.addEventListener("pageshow", (event) => {
    const isBack = event.persisted || performance.getEntriesByType("navigation")[0]?.type === "back_forward";
    if (kept.person()) cameBack(isBack);
  });
  document.addEventListener("submit", submit);
  window.addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && flush());
  flush();
})();
