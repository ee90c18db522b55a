// Marks a slip in the table of a weighing while it is typed. It keeps nothing and stops nothing:
// the server asks the same when the table is sent, and the page works without this file.
(() => {
  "use strict";
  const DAY = 86400000;
  let limits = {};

  // As the server reads it: a comma or a point; with letters behind it the server alone decides.
  const number = (input) => {
    const typed = input.value.trim().replace(",", ".");
    return /^\d+(\.\d+)?$/.test(typed) ? Number(typed) : null;
  };
  const width = (mm) => `${(mm / limits.mmPerUnit).toFixed(1).replace(".", limits.point)} ${limits.unit}`;
  const say = (name, values) => limits.words[name].replace(/\{(\w+)\}/g, (_, key) => values[key]);
  function plain(iso) {
    const language = document.documentElement.lang.replace(/^en$/, "en-GB"); // the day before the month
    return new Date(`${iso}T12:00`).toLocaleDateString(language, { day: "numeric", month: "short" });
  }

  function ofWidth(mm, last, days) {
    if (!mm || !last) return "";
    const [on, before] = last;
    const error = (one) => Math.max(limits.errorMm, limits.errorShare * one);
    const said = { width: width(mm), before: width(before), day: plain(on) };
    if (before - mm > error(before)) return say("narrower", said);
    const most = limits.growthMost * days(on) + error(mm);
    return mm - before > most ? say("wider", said) : "";
  }

  function ofWeight(grams, last, days) {
    if (!grams || !last || days(last[0]) > limits.changeDays) return "";
    const [less, more] = [grams, last[1]].sort((a, b) => a - b);
    const said = { weight: `${grams} g`, before: `${last[1]} g`, day: plain(last[0]) };
    return more >= limits.changeTimes * less ? say("changed", said) : "";
  }

  function look(row, form) {
    const of = limits.of[row.dataset.animal];
    const cell = (name) => form.elements[`${name}_${row.dataset.animal}`];
    const days = (since) => Math.abs(Date.parse(form.elements.on.value || since) - Date.parse(since)) / DAY;
    const typed = number(cell("disc_width_mm"));
    const mm = typed === null ? null : typed * limits.mmPerUnit;
    const grams = number(cell("weight_g"));
    const wrong = [ofWidth(mm, of.width, days), ofWeight(grams, of.weight, days)].filter(Boolean);
    const beside = mm || (grams && of.width && of.width[1]);
    let about = "";
    if (beside && of.usual) {
      const middle = of.usual.factor * (beside / 10) ** of.usual.power;
      const said = { usual: `${middle.toFixed(0)} g`, width: width(beside) };
      about = say(of.usual.own ? "usualHere" : "usualPublished", said);
      const off = grams && (grams > middle * of.usual.times || grams < middle / of.usual.times);
      if (off) wrong.push(wrong.length ? about : `${grams} g? ${about}`);
      if (!of.usual.own) about = "";
    }
    const mark = row.querySelector(".mark");
    mark.textContent = wrong.join(" ") || about;
    mark.classList.toggle("now", wrong.length > 0);
    row.classList.toggle("is-doubtful", wrong.length > 0);
  }

  // Asked of the page anew each time: a form that came back with questions has replaced the first.
  function all() {
    const form = document.querySelector("form[data-weigh]");
    const told = form && document.getElementById(form.dataset.weigh);
    if (!told) return;
    limits = JSON.parse(told.textContent);
    const rows = [...form.querySelectorAll(".weigh-row")];
    rows.forEach((row) => look(row, form));
    const isFilled = (one) => (one.type === "radio" ? one.checked && one.value : one.value.trim());
    const filled = rows.filter((row) => [...row.querySelectorAll("input")].some(isFilled)).length;
    const doubtful = rows.filter((row) => row.classList.contains("is-doubtful")).length;
    const said = { number: filled, all: rows.length, doubtful };
    form.querySelector(".done button").textContent = say(doubtful ? "saveDoubtful" : "save", said);
  }
  for (const event of ["input", "change", "given-back"]) document.addEventListener(event, all);
  document.addEventListener("DOMContentLoaded", all);
})();
