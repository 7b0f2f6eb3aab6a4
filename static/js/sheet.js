// Small helps of the sheets, each switched on by its data- attribute. Every page works without them.
(function () {
  "use strict";

  // data-auto-submit: a form of filters is sent when a choice changes.
  document.querySelectorAll("form[data-auto-submit]").forEach(function (form) {
    form.addEventListener("change", function (e) {
      if (e.target.matches("select, input[type=checkbox], input[type=radio], input[type=date]")) form.requestSubmit();
    });
  });

  // data-fold: a list's filters are folded away on a phone; the line below says what they show.
  document.querySelectorAll("details[data-fold]").forEach(function (d) {
    if (window.matchMedia("(max-width: 699px)").matches) d.open = false;
  });

  // data-once: a form is sent once, however often a wet finger presses.
  document.querySelectorAll("form[data-once]").forEach(function (form) {
    var sent = false;
    form.addEventListener("submit", function (e) {
      if (sent) { e.preventDefault(); return; }
      sent = true;
      form.setAttribute("aria-busy", "true");
    });
    window.addEventListener("pageshow", function () { sent = false; form.removeAttribute("aria-busy"); });
  });

  // data-cells: the sentence below the cells follows the picked one.
  document.querySelectorAll("[data-cells]").forEach(function (cells) {
    var say = cells.nextElementSibling;
    if (!say || !say.hasAttribute("data-cells-say")) return;
    cells.addEventListener("change", function (e) {
      say.querySelectorAll("p").forEach(function (p) { p.hidden = p.dataset.value !== e.target.value; });
    });
  });

  // data-stepper: large − and + beside a whole number.
  document.querySelectorAll("[data-stepper]").forEach(function (box) {
    var input = box.querySelector("input");
    var word = input.labels && input.labels[0] ? input.labels[0].textContent.trim() : "";
    function step(by) {
      var now = parseInt(input.value, 10);
      if (isNaN(now)) now = parseInt(input.min, 10) || 0; else now += by;
      if (input.min !== "" && now < Number(input.min)) now = Number(input.min);
      if (input.max !== "" && now > Number(input.max)) now = Number(input.max);
      input.value = now;
      input.dispatchEvent(new Event("input", { bubbles: true }));
      input.dispatchEvent(new Event("change", { bubbles: true }));
    }
    function button(sign, said, by) {
      var b = document.createElement("button");
      b.type = "button";
      b.textContent = sign;
      b.className = "big";
      b.setAttribute("aria-label", said + (word ? ": " + word : ""));
      b.addEventListener("click", function () { step(by); });
      return b;
    }
    box.prepend(button("−", "One less", -1));
    box.append(button("+", "One more", 1));
    box.classList.add("ready");
  });

  // The list of errors at the top of a form takes the keyboard, so that it is read first.
  var errors = document.querySelector("[data-error-list]");
  if (errors) errors.focus();

  // data-print: a button that prints this page.
  document.querySelectorAll("[data-print]").forEach(function (b) {
    b.hidden = false;
    b.addEventListener("click", function () { window.print(); });
  });
})();
