// Where the tanks stand: dragging writes into the form's own fields, which work without this.
(() => {
  const form = document.querySelector("form.arrange");
  const plan = form && form.querySelector(".arrange-plan");
  if (!plan) return;
  const STEP = 100; // mm
  const perUnit = Number(form.dataset.mmPerUnit);
  const wide = Number(plan.dataset.wide);
  const floors = new Map();
  plan.hidden = false;
  document.querySelectorAll(".with-script").forEach((one) => (one.hidden = false));
  for (const room of plan.querySelectorAll(".arrange-room")) {
    const floor = room.querySelector(".floor");
    floor.style.aspectRatio = `${wide} / ${Number(room.dataset.deep) + 3000}`;
    floors.set(room.dataset.room, floor);
  }

  const field = (stand, name) => stand.querySelector(`[name="${name}_${stand.dataset.key}"]`);
  const typed = (input) => (input.value.trim() === "" ? null : parseFloat(input.value.replace(",", ".")) * perUnit);
  const scale = (floor) => floor.clientWidth / wide;

  for (const stand of form.querySelectorAll(".stand")) {
    const [room, left, back, turned] = ["stands_in", "from_left_mm", "from_back_mm", "is_turned"].map((name) => field(stand, name));
    const box = document.createElement("button");
    box.type = "button";
    box.className = "stand-box";
    box.toggleAttribute("data-guessed", "guessed" in stand.dataset);
    box.textContent = stand.querySelector("legend").firstChild.textContent.trim();
    let at = { x: Number(stand.dataset.left), y: Number(stand.dataset.top) };

    const draw = () => {
      const floor = floors.get(room.value.trim()) || floors.get(stand.dataset.room);
      if (box.parentNode !== floor) floor.append(box);
      const [x, y] = [typed(left), typed(back)];
      if (x !== null && y !== null && !Number.isNaN(x + y)) at = { x, y };
      const sides = [Number(stand.dataset.long), Number(stand.dataset.deep)];
      if (turned.checked) sides.reverse();
      const by = scale(floor);
      box.style.cssText = `left:${at.x * by}px;top:${at.y * by}px;width:${sides[0] * by}px;height:${sides[1] * by}px`;
    };
    const write = (x, y) => {
      const near = (mm) => Math.max(0, Math.round(mm / STEP) * STEP);
      left.value = String(Math.round((near(x) / perUnit) * 10) / 10);
      back.value = String(Math.round((near(y) / perUnit) * 10) / 10);
      draw();
    };

    box.addEventListener("pointerdown", (down) => {
      const by = scale(box.parentNode);
      const from = { ...at };
      box.setPointerCapture(down.pointerId);
      const move = (to) => write(from.x + (to.clientX - down.clientX) / by, from.y + (to.clientY - down.clientY) / by);
      box.addEventListener("pointermove", move);
      for (const end of ["pointerup", "pointercancel"]) {
        box.addEventListener(end, () => box.removeEventListener("pointermove", move), { once: true });
      }
    });
    box.addEventListener("keydown", (key) => {
      const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[key.key];
      if (by) write(at.x + by[0] * STEP, at.y + by[1] * STEP);
      else if (key.key === "t" || key.key === "T") { turned.checked = !turned.checked; write(at.x, at.y); }
      else return;
      key.preventDefault();
    });
    for (const one of [room, left, back, turned]) one.addEventListener("input", draw);
    window.addEventListener("resize", draw);
    draw();
  }
})();
