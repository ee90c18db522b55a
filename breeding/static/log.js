// Says on the Save button what it will write, names the male who is with her, takes whoever is chosen
// along to the other things that can be written down, and narrows the faces while a name is typed.
// What waits to be sent is told apart by what is said here.
// It keeps nothing; the page works without it.
(() => {
  "use strict";
  const SOON_MS = 600;
  const form = () => document.querySelector("form[data-log]");
  const said = (input) => input.closest("label").querySelector("[data-say], b")?.textContent.trim() ?? "";
  const shown = (one) => one.getClientRects().length > 0;

  function mate(of) {
    const chosen = [...of.querySelectorAll("[name=female]:checked")].filter((one) => one.value);
    return chosen.length === 1 ? (chosen[0].dataset.male ?? "") : "";
  }

  function parts(of, leftOut = "") {
    const found = [...of.querySelectorAll("input:checked")].filter(
      (one) => one.value && one.name !== leftOut && shown(one.closest("label")),
    );
    const words = [];
    for (const one of found) {
      if (one.dataset.with) {
        const male = mate(of);
        if (male) words.push(one.dataset.with.replace("MALE", male));
      } else words.push(said(one));
    }
    return words.filter(Boolean);
  }

  function say() {
    const of = form();
    const button = of?.querySelector("[data-save]");
    if (!button || of.dataset.sending || of.dataset.waits || of.dataset.spent) return;
    button.dataset.plain ??= button.textContent;
    const words = parts(of);
    of.dataset.tells = parts(of, "when").join(", "); // while it waits to be sent; "now" would be said of another moment
    const asks = of.querySelector("[name=kind], [name=food], [name=done]") ? 3 : 2; // who, what, when
    const isWhole = of.querySelector(".who .tile input:checked") && words.length >= asks;
    button.textContent = isWhole ? button.dataset.save.replace("WHAT", words.join(", ")) : button.dataset.plain;
    const name = of.querySelector("[data-mate]");
    if (name) name.textContent = mate(of) || name.dataset.mate;
  }

  function takeAlong() {
    const chosen = [...form().querySelectorAll("[name=female]:checked")].filter((one) => one.value);
    const along = new URLSearchParams(chosen.map((one) => ["female", one.value])).toString();
    for (const link of document.querySelectorAll(".logging a")) link.search = along;
  }

  document.addEventListener("change", (event) => {
    if (event.target.form !== form() || !form()) return;
    if (event.target.name === "female") takeAlong();
    if (event.target.type === "radio" && event.target.name === "female")
      form().querySelector(".who").scrollIntoView({ block: "nearest" });
    say();
  });
  document.addEventListener("input", (event) => {
    if (!event.target.matches?.(".find-who input")) return;
    const typed = event.target.value.trim().toLocaleLowerCase();
    for (const tile of document.querySelectorAll(".who .tile"))
      tile.classList.toggle("gone", !tile.textContent.toLocaleLowerCase().includes(typed));
  });
  document.addEventListener("DOMContentLoaded", () => {
    say();
    setTimeout(say, SOON_MS); // a draft has been given back by then
  });
  new MutationObserver(say).observe(document.documentElement, { childList: true }); // a refused form takes its place
})();
