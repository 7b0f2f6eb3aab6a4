// The drawing on a phone: two fingers make it larger, one moves it, a press on a balloon reads it.
(function () {
  "use strict";

  // data-list: the list under a drawing is open on a phone and folded on a desk.
  var phone = window.matchMedia("(max-width: 699px)");
  document.querySelectorAll("details[data-list]").forEach(function (d) { d.open = phone.matches; });

  document.querySelectorAll("[data-zoom]").forEach(function (box) {
    var drawn = box.querySelector("svg");
    if (!drawn || !phone.matches) return;
    var at = { x: 0, y: 0, k: 1 }, fingers = new Map(), before = null, moved = false;
    box.classList.add("zooms");

    function put() {
      at.k = Math.min(6, Math.max(1, at.k));
      at.x = Math.min(0, Math.max(box.clientWidth * (1 - at.k), at.x));
      at.y = Math.min(0, Math.max(box.clientHeight * (1 - at.k), at.y));
      drawn.style.transform = "translate(" + at.x + "px," + at.y + "px) scale(" + at.k + ")";
      box.classList.toggle("near", at.k > 1);
    }
    function grow(by, x, y) {
      var k = Math.min(6, Math.max(1, at.k * by));
      at.x = x - (x - at.x) * k / at.k;
      at.y = y - (y - at.y) * k / at.k;
      at.k = k;
      put();
    }
    function spread() {
      var p = Array.from(fingers.values()), r = box.getBoundingClientRect();
      var two = p.length > 1 ? p[1] : p[0];
      return {
        x: (p[0].x + two.x) / 2 - r.left, y: (p[0].y + two.y) / 2 - r.top,
        far: Math.hypot(p[0].x - two.x, p[0].y - two.y)
      };
    }
    box.addEventListener("pointerdown", function (e) {
      if (!fingers.size) moved = false;
      fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
      before = spread();
    });
    box.addEventListener("pointermove", function (e) {
      if (!fingers.has(e.pointerId)) return;
      fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
      var now = spread();
      if (fingers.size > 1 || at.k > 1) {
        if (Math.hypot(now.x - before.x, now.y - before.y) > 3 || fingers.size > 1) moved = true;
        at.x += now.x - before.x;
        at.y += now.y - before.y;
        if (fingers.size > 1 && before.far > 0) grow(now.far / before.far, now.x, now.y); else put();
        before = now;
      }
    });
    ["pointerup", "pointercancel", "pointerleave"].forEach(function (name) {
      box.addEventListener(name, function (e) {
        fingers.delete(e.pointerId);
        if (fingers.size) before = spread();
      });
    });
    // What was a move is no press.
    box.addEventListener("click", function (e) {
      if (moved) { e.preventDefault(); e.stopPropagation(); moved = false; }
    }, true);
    // Two fingers are ours before the page takes them for its own zoom.
    box.addEventListener("touchmove", function (e) {
      if (e.touches.length > 1 || at.k > 1) e.preventDefault();
    }, { passive: false });

    var row = box.parentNode.querySelector(".drawing-row");
    if (!row) return;
    var buttons = document.createElement("span");
    buttons.className = "zoom-buttons chips";
    [["−", "Smaller", 1 / 1.6], ["+", "Larger", 1.6]].forEach(function (b) {
      var button = document.createElement("button");
      button.type = "button";
      button.textContent = b[0];
      button.setAttribute("aria-label", b[1]);
      button.addEventListener("click", function () { grow(b[2], box.clientWidth / 2, box.clientHeight / 2); });
      buttons.append(button);
    });
    row.prepend(buttons);
  });
})();
