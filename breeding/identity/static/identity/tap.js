// Where a script runs, a picture to tap is as wide as the page allows, and says how wide that was.
(() => {
  for (const form of document.querySelectorAll("form.tap-on")) {
    const picture = form.querySelector("input[type=image]"), shown = form.querySelector("[name=shown]");
    form.querySelector(".tapped").style.width = "min(100%, 720px)";
    picture.addEventListener("click", () => { shown.value = picture.clientWidth; });
  }
})();
