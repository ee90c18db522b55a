// Where there is HTTPS (or this very machine) the pages needed at a tank stay readable without a network.
// A page that comes from the device says as of when it is; its forms get one-time tokens of their own.
(() => {
  "use strict";
  const page = document.body.dataset;

  // The same kept page may be opened, and sent, many times: each time is an act of its own.
  function ownTokens() {
    for (const form of document.forms)
      for (const one of form.querySelectorAll("input[name=once]"))
        one.value = `${one.value.split("~")[0]}~${[...crypto.getRandomValues(new Uint8Array(8))].map((byte) => byte.toString(16).padStart(2, "0")).join("")}`;
  }

  // A form that is kept is of nobody; whom the address names is chosen here.
  function chooseWhoIsNamed() {
    for (const named of new URLSearchParams(location.search).getAll("female"))
      for (const one of document.querySelectorAll("form[data-log] [name=female]"))
        if (one.value && one.value === named) one.checked = true;
  }

  // As words/clock.py says it: by the clock that whoever reads has chosen.
  window.clockTime = (at) => {
    const two = (number) => String(number).padStart(2, "0");
    const { hours, time, timeBeforeNoon, timeAfterNoon } = document.getElementById("words").dataset;
    const isBefore = at.getHours() < 12;
    const hour = hours === "12" ? at.getHours() % 12 || 12 : two(at.getHours());
    const said = hours !== "12" ? time : isBefore ? timeBeforeNoon : timeAfterNoon;
    return said.replace("{hour}", hour).replace("{minute}", two(at.getMinutes()));
  };

  function sayAsOf() {
    const said = document.getElementById("as-of");
    if (!said) return;
    const at = new Date(page.asOf), moment = said.querySelector("time");
    const isToday = at.toDateString() === new Date().toDateString();
    const language = document.documentElement.lang.replace(/^en$/, "en-GB"); // the day before the month
    const day = at.toLocaleDateString(language, { weekday: "short", day: "numeric", month: "short" });
    moment.dateTime = page.asOf;
    moment.textContent = isToday ? window.clockTime(at) : `${day}, ${window.clockTime(at)}`;
    said.hidden = false;
  }

  async function sayWhatIsKept() {
    const list = document.getElementById("kept-pages");
    if (!list || !window.caches) return;
    for (const link of list.querySelectorAll("a"))
      link.closest("li").hidden = !(await caches.match(link.getAttribute("href"), { cacheName: "pages-1" }));
  }

  const parts = () =>
    [...document.querySelectorAll("link[rel=stylesheet], link[rel=icon], script[src]")].map((one) => one.href || one.src);

  async function tellWorker() {
    const registered = await navigator.serviceWorker.register(page.worker, { scope: "/", updateViaCache: "none" });
    const worker = registered.active ?? (await navigator.serviceWorker.ready).active;
    worker.postMessage({ person: page.person, ahead: (page.ahead ?? "").split(" ").filter(Boolean), parts: parts() });
  }

  if (page.asOf) {
    ownTokens();
    chooseWhoIsNamed();
    sayAsOf();
    sayWhatIsKept();
  } else if (page.person && page.worker && navigator.serviceWorker) {
    window.addEventListener("load", () => setTimeout(() => tellWorker().catch(() => {}), 1_000));
  }
})();
