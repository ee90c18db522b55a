// Proposes animals by name or code while one is typed; without it the whole name is written.
(() => {
  "use strict";
  const REST_MS = 150;
  let waiting, asked = "";

  async function propose(input) {
    const text = input.value.trim();
    if (!text || text === asked) return;
    asked = text;
    const address = new URL(input.dataset.names, window.location.href);
    address.searchParams.set("q", text);
    try {
      const answer = await fetch(address);
      if (answer.ok && !answer.redirected && input.value.trim() === text) input.list.innerHTML = await answer.text();
    } catch { /* no network: what is typed is looked up when it is sent */ }
  }

  document.addEventListener("input", (event) => {
    if (!event.target.matches?.("input[data-names]")) return;
    clearTimeout(waiting);
    waiting = setTimeout(propose, REST_MS, event.target);
  });
})();
