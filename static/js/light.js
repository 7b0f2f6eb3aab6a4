// Puts on the light that was chosen on this device before the page is drawn, and minds the switches.
(function () {
  "use strict";
  var root = document.documentElement;
  root.classList.remove("no-script");

  function kept() {
    try { return localStorage.getItem("light") || ""; } catch (e) { return ""; }
  }
  function put(light) {
    if (light) root.setAttribute("data-light", light); else root.removeAttribute("data-light");
  }
  function keep(name, value) {
    try { if (value) localStorage.setItem(name, value); else localStorage.removeItem(name); } catch (e) { /* private window */ }
  }
  put(kept());

  document.addEventListener("DOMContentLoaded", function () {
    var sun = document.querySelector("[data-light-switch]");
    var choices = document.querySelectorAll("[data-light-choice]");
    function show() {
      var now = root.getAttribute("data-light") || "";
      if (sun) sun.setAttribute("aria-pressed", String(now === "sun"));
      document.querySelectorAll("[data-light-choice] button").forEach(function (b) {
        b.setAttribute("aria-pressed", String(b.getAttribute("data-light") === now));
      });
    }
    function choose(light) { put(light); keep("light", light); show(); }
    if (sun) {
      sun.hidden = false;
      sun.addEventListener("click", function () {
        var now = root.getAttribute("data-light") || "";
        if (now === "sun") {
          var before = "";
          try { before = localStorage.getItem("light-before") || ""; } catch (e) { before = ""; }
          choose(before);
        } else {
          keep("light-before", now);
          choose("sun");
        }
      });
    }
    choices.forEach(function (choice) {
      choice.hidden = false;
      choice.addEventListener("click", function (e) {
        var button = e.target.closest("button");
        if (button) choose(button.getAttribute("data-light"));
      });
    });
    show();
  });
})();
