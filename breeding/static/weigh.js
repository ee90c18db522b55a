// Marks a slip in the table of a weighing while it is typed. It keeps nothing and stops nothing:
// the server asks the same when the table is sent, and the page works without this file.
(() => {
  "use strict";
  const form = document.querySelector("form[data-weigh]");
  const told = form && document.getElementById(form.dataset.weigh);
  if (!told) return;
  const limits = JSON.parse(told.textContent);
  const DAY = 86400000;

  // As the server reads it: a comma or a point; with letters behind it the server alone decides.
  const number = (input) => {
    const typed = input.value.trim().replace(",", ".");
    return /^\d+(\.\d+)?$/.test(typed) ? Number(typed) : null;
  };
  const cell = (row, name) => form.elements[`${name}_${row.dataset.animal}`];
  const width = (mm) => `${(mm / limits.mmPerUnit).toFixed(1)} ${limits.unit}`;
  const days = (since) => {
    const on = form.elements.on.value;
    return on ? Math.abs(Date.parse(on) - Date.parse(since)) / DAY : 0;
  };
  const plain = (iso) => new Date(`${iso}T12:00`).toLocaleDateString("en-GB", { day: "numeric", month: "short" });

  function ofWidth(mm, last) {
    if (!last) return "";
    const [on, before] = last;
    const error = (one) => Math.max(limits.errorMm, limits.errorShare * one);
    if (before - mm > error(before)) return `${width(mm)}? It was ${width(before)} on ${plain(on)}.`;
    if (mm - before > limits.growthMost * days(on) + error(mm)) {
      return `${width(mm)}? It was ${width(before)} on ${plain(on)}: too much growth.`;
    }
    return "";
  }

  function ofWeight(grams, last) {
    if (!last || days(last[0]) > limits.changeDays) return "";
    const [less, more] = [grams, last[1]].sort((a, b) => a - b);
    return more >= limits.changeTimes * less ? `${grams} g? The last was ${last[1]} g on ${plain(last[0])}.` : "";
  }

  function beside(grams, mm, usual) {
    if (!usual) return ["", ""];
    const middle = usual.factor * (mm / 10) ** usual.power;
    const whose = usual.own ? "here" : "by the published pair";
    const about = `about ${middle.toFixed(0)} g is usual at ${width(mm)} ${whose}`;
    const wrong = grams && (grams > middle * usual.times || grams < middle / usual.times);
    return wrong ? [`${grams} g? ${about}.`, ""] : ["", usual.own ? `${about}.` : ""];
  }

  function look(row) {
    const of = limits.of[row.dataset.animal];
    const typedWidth = number(cell(row, "disc_width_mm"));
    const mm = typedWidth === null ? null : typedWidth * limits.mmPerUnit;
    const grams = number(cell(row, "weight_g"));
    const wrong = [mm && ofWidth(mm, of.width), grams && ofWeight(grams, of.weight)];
    const near = mm || (grams && of.width && of.width[1]);
    const [off, about] = near ? beside(grams, near, of.usual) : ["", ""];
    const said = [...wrong, off].filter(Boolean);
    const mark = row.querySelector(".mark");
    mark.textContent = said.join(" ") || about;
    mark.classList.toggle("now", said.length > 0);
    row.classList.toggle("is-doubtful", said.length > 0);
  }

  const rows = [...form.querySelectorAll(".weigh-row")];
  const count = () => {
    const filled = rows.filter((row) =>
      [...row.querySelectorAll("input")].some((one) => (one.type === "radio" ? one.checked && one.value : one.value.trim()))
    ).length;
    const doubtful = rows.filter((row) => row.classList.contains("is-doubtful")).length;
    form.querySelector(".done button").textContent =
      `Save ${filled} of ${rows.length}${doubtful ? `, ${doubtful} to look at again` : ""}`;
  };
  const all = () => { rows.forEach(look); count(); };
  form.addEventListener("input", all);
  form.addEventListener("change", all);
  all();
})();
