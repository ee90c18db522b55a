// Walks a family with the arrow keys: from the one in focus to the nearest in that direction.
(() => {
  const walk = document.querySelector("[data-walk]");
  if (!walk) return;
  document.querySelector("[data-walk-keys]")?.removeAttribute("hidden");
  const ways = { ArrowUp: [0, -1], ArrowDown: [0, 1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };
  const middle = (one) => {
    const box = one.getBoundingClientRect();
    return [box.left + box.width / 2, box.top + box.height / 2];
  };
  const links = () => [...walk.querySelectorAll("a[href]")];
  const nearest = (from, [dx, dy]) => {
    const [x, y] = middle(from);
    let best = null;
    let least = Infinity;
    for (const one of links()) {
      const [ox, oy] = middle(one);
      const along = (ox - x) * dx + (oy - y) * dy;
      const aside = Math.abs((ox - x) * dy) + Math.abs((oy - y) * dx);
      if (one === from || along < 8 || aside > along + 40) continue;
      if (along + 2 * aside < least) [best, least] = [one, along + 2 * aside];
    }
    return best;
  };
  const typed = (target) => target.closest?.("input, select, textarea, [contenteditable]");
  document.addEventListener("keydown", (event) => {
    const way = ways[event.key];
    if (!way || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey || typed(event.target)) return;
    const here = walk.contains(document.activeElement) ? document.activeElement : null;
    const next = here ? nearest(here, way) : links()[0];
    if (!next) return;
    event.preventDefault();
    next.focus();
  });
})();
