// Drafts: what is typed in a form that writes stays on the device until the server has said yes.
// Such a form has the one-time field `once`. Passwords, tokens and hidden fields are never kept.
(() => {
  "use strict";
  const { kept } = window;
  const TYPED = "input:not([type=hidden], [type=password], [type=submit], [type=button], [type=image]), select, textarea";
  const SOON_MS = 250;
  const started = new WeakMap(); // form: what the server's form held when the typing began

  const writing = () => [...document.forms].filter((form) => form.method === "post" && form.elements.once);
  const addressOf = (url) => {
    const { pathname, search } = new URL(url, location.href);
    return pathname + search;
  };
  const actionOf = (form) => addressOf(form.getAttribute("action") || location.href);
  const hiddenOf = (form) =>
    [...form.elements]
      .filter((one) => one.type === "hidden" && !["once", "csrfmiddlewaretoken"].includes(one.name))
      .map((one) => `${one.name}=${one.value}`)
      .join("&");

  // A form is known by its page and where it goes; several to one address by what they are about.
  function nameOf(form) {
    const name = `${addressOf(location.href)}|${actionOf(form)}`;
    const alike = writing().filter((one) => actionOf(one) === actionOf(form));
    return alike.length > 1 ? `${name}|${hiddenOf(form)}` : name;
  }

  const typedIn = (form) => [...form.elements].filter((one) => one.name && one.matches(TYPED));

  function valueOf(one) {
    if (one.type === "checkbox" || one.type === "radio") return one.checked;
    if (one.type === "select-multiple") return [...one.selectedOptions].map((option) => option.value);
    return one.value;
  }

  // Each control by its name, and by its value or place where several have the same name.
  function eachTyped(form) {
    const seen = {}, found = new Map();
    for (const one of typedIn(form)) {
      if (one.type === "file") continue;
      const isChoice = one.type === "checkbox" || one.type === "radio";
      const place = isChoice ? `=${one.value}` : `#${(seen[one.name] = (seen[one.name] ?? 0) + 1)}`;
      found.set(one.name + place, one);
    }
    return found;
  }

  const snapshot = (form) => Object.fromEntries([...eachTyped(form)].map(([name, one]) => [name, valueOf(one)]));
  const filesOf = (form) =>
    typedIn(form)
      .filter((one) => one.type === "file")
      .flatMap((one) => [...one.files].map((file) => [one.name, file]));
  const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);
  const changedOf = (draft) => Object.keys(draft.typed).filter((name) => !same(draft.typed[name], draft.was[name]));

  const draftOf = (form) => ({ typed: snapshot(form), files: filesOf(form), was: started.get(form) ?? {} });

  function keep(form) {
    timers.delete(form);
    if (form.dataset.spent || !document.contains(form)) return undefined;
    const name = nameOf(form), row = draftOf(form);
    return changedOf(row).length || row.files.length ? kept.put("draft", name, row) : kept.drop("draft", name);
  }

  const timers = new Map();
  function keepSoon(event) {
    const form = event.target.form;
    if (!form || !started.has(form)) return;
    clearTimeout(timers.get(form));
    timers.set(form, setTimeout(() => keep(form), event.type === "change" ? 0 : SOON_MS));
  }

  function fill(one, value) {
    if (one.type === "checkbox" || one.type === "radio") one.checked = value;
    else if (one.type === "select-multiple")
      for (const option of one.options) option.selected = value.includes(option.value);
    else one.value = value;
    reveal(one);
  }

  function reveal(one) {
    for (let fold = one.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  }

  function fillFiles(form, files) {
    let filled = false;
    for (const one of typedIn(form).filter((input) => input.type === "file" && !input.files.length)) {
      const basket = new DataTransfer();
      for (const [name, file] of files) if (name === one.name) basket.items.add(file);
      if (!basket.files.length) continue;
      one.files = basket.files;
      reveal(one);
      filled = true;
    }
    return filled;
  }

  // Only what the person changed comes back: what others have written meanwhile stays as they wrote it.
  function giveBack(form, draft) {
    const controls = eachTyped(form);
    const different = changedOf(draft).filter(
      (name) => controls.has(name) && !same(valueOf(controls.get(name)), draft.typed[name]),
    );
    // A control the form did not have then, such as the tick of a question, was changed by nobody.
    const isChanged = different.some(
      (name) => name in draft.was && !same(valueOf(controls.get(name)), draft.was[name]),
    );
    for (const name of different) fill(controls.get(name), draft.typed[name]);
    const isFilled = fillFiles(form, draft.files ?? []);
    if (!different.length && !isFilled) return "";
    return isChanged ? kept.say("changedMeanwhile") : " ";
  }

  function when(moment) {
    const at = new Date(moment), clock = window.clockTime(at);
    if (at.toDateString() === new Date().toDateString()) return clock;
    const language = document.documentElement.lang.replace(/^en$/, "en-GB"); // the day before the month
    return `${at.toLocaleDateString(language, { day: "numeric", month: "short" })}, ${clock}`;
  }

  const sentence = (words) => words.replace(/\.?$/, ".");

  // A line of words with things to press; `where.prepend(line)` is left to the caller.
  function line(words, ...presses) {
    const said = document.createElement("div");
    said.className = "said kept";
    said.setAttribute("role", "status");
    said.append(words);
    for (const [label, act] of presses) {
      const button = document.createElement(typeof act === "string" ? "a" : "button");
      button.textContent = label;
      if (typeof act === "string") button.href = act;
      else Object.assign(button, { type: "button", className: "plainlink", onclick: act });
      said.append(" ", button);
    }
    return said;
  }

  function tell(form, said) {
    form.querySelector(":scope > .kept")?.remove();
    form.prepend(said);
    said.scrollIntoView({ block: "nearest" });
  }

  function afresh(form) {
    form.reset();
    started.set(form, snapshot(form));
    form.querySelector(":scope > .kept")?.remove();
    kept.drop("draft", nameOf(form));
  }

  async function start(form) {
    if (started.has(form)) return;
    started.set(form, snapshot(form));
    const draft = await kept.get("draft", nameOf(form));
    if (draft) started.set(form, draft.was);
    if (!draft || form.dataset.spent) return;
    const waiting = draft.sent && (await kept.get("waiting", draft.sent));
    if (waiting && !waiting.refused) return; // it is sent as it stands; typing it again would be twice
    if (waiting) await kept.drop("waiting", draft.sent);
    const given = giveBack(form, draft);
    if (!given && !waiting) return;
    const why = waiting ? kept.say("wasNotWritten", { why: sentence(waiting.refused) }) : "";
    const words = [kept.say("keptFrom", { when: when(draft.at) }), given.trim(), why].filter(Boolean);
    tell(form, line(words.join(" "), [kept.say("startAfresh"), () => afresh(form)]));
  }

  Object.assign(kept, { writing, nameOf, actionOf, keep, draftOf, line, tell, when, sentence });
  kept.start = async () => {
    if (!kept.person()) return;
    document.querySelector(".wrong")?.focus();
    await Promise.all(writing().map(start));
    document.dispatchEvent(new Event("given-back")); // what reads along while somebody types looks again
  };
  document.addEventListener("input", keepSoon);
  document.addEventListener("change", keepSoon);
  window.addEventListener("pagehide", () => [...timers.keys()].forEach(keep));
  kept.forgetOld();
  kept.start();
})();
