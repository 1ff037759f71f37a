(function () {
  "use strict";
  var page = document.documentElement;
  var slider = document.getElementById("slack");
  var said = document.getElementById("slack-said");
  var steps = Array.prototype.slice.call(document.querySelectorAll(".step"));
  var dots = Array.prototype.slice.call(document.querySelectorAll(".dot"));
  var pull = document.getElementById("pull");

  function show() {
    var number = Number(slider.value);
    steps.forEach(function (step, k) { step.classList.toggle("now", k === number); });
    dots.forEach(function (dot) { dot.classList.toggle("now", Number(dot.dataset.step) === number); });
    said.textContent = steps[number].dataset.name;
    slider.setAttribute("aria-valuetext", steps[number].dataset.heard);
  }

  slider.addEventListener("input", show);
  dots.forEach(function (dot) {
    dot.addEventListener("click", function () {
      slider.value = dot.dataset.step;
      show();
    });
  });
  if (pull) {
    pull.addEventListener("change", function () { page.classList.toggle("pulling", pull.checked); });
    page.classList.toggle("pulling", pull.checked);
  }
  page.classList.add("live");
  show();
}());
