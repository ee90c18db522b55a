// Which width of the drawings this window shows, as the style sheet says: kept in a cookie, so that the
// server sends that one alone. A window that has changed is brought the other one; nothing else of
// the page is touched, and what came stays, for when it changes back.
(() => {
  "use strict";
  const COOKIE = "rayward_width", YEAR_S = 31_536_000;
  let bringing = "";

  const shown = () => getComputedStyle(document.documentElement).getPropertyValue("--drawings").trim();

  function keep(width) {
    if (document.cookie.split("; ").includes(`${COOKIE}=${width}`)) return;
    const safe = location.protocol === "https:" ? "; secure" : "";
    document.cookie = `${COOKIE}=${width}; path=/; max-age=${YEAR_S}; samesite=lax${safe}`;
  }

  const drawn = (page, width) => [...page.querySelectorAll(".season-sheet")].map((one) => one.querySelector(`.${width}-only`));

  async function bring(width) {
    if (bringing === width || drawn(document, width).every(Boolean)) return;
    bringing = width;
    try {
      const answer = await fetch(location.href, { headers: { "X-Ahead": "1" } });
      if (!answer.ok || answer.redirected) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const brought = drawn(page, width);
      document.querySelectorAll(".season-sheet").forEach((one, at) => {
        if (brought[at] && !one.querySelector(`.${width}-only`)) one.append(document.adoptNode(brought[at]));
      });
    } catch { /* no network: what is here is shown, and the window asks again when it changes */ } finally {
      bringing = "";
    }
  }

  function look() {
    const width = shown();
    if (!width || matchMedia("print").matches) return;
    keep(width);
    bring(width);
  }

  look();
  for (const event of ["resize", "pageshow", "focus"]) window.addEventListener(event, look);
})();
