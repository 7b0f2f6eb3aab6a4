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

// Setting and moving balloons on a sheet of one's own (data-place). The form works without this.
(function () {
  "use strict";
  var box = document.querySelector("[data-place]");
  var form = document.querySelector("[data-place-form]");
  if (!box || !form) return;
  var told = form.querySelector("[data-place-told]");
  var say = document.querySelector("[data-place-say]");
  var SVG = "http://www.w3.org/2000/svg";
  if (say) say.hidden = false;
  box.classList.add("placing");

  function drawn() { return box.querySelector("svg"); }
  function picture() {
    var i = drawn().querySelector("image");
    return { x: +i.getAttribute("x"), y: +i.getAttribute("y"), w: +i.getAttribute("width"), h: +i.getAttribute("height") };
  }
  function at(e) {
    var p = new DOMPoint(e.clientX, e.clientY).matrixTransform(drawn().getScreenCTM().inverse());
    return { x: p.x, y: p.y };
  }
  function part(p) {
    var i = picture();
    function within(v) { return Math.min(1, Math.max(0, v)); }
    return { x: within((p.x - i.x) / i.w), y: within((p.y - i.y) / i.h) };
  }
  function place(part) {
    var i = picture();
    return { x: i.x + part.x * i.w, y: i.y + part.y * i.h };
  }
  function leader(pk) { return drawn().querySelector('[data-leader="' + pk + '"]'); }
  function end(pk) {
    var dot = leader(pk).querySelector("circle");
    return { x: +dot.getAttribute("cx"), y: +dot.getAttribute("cy") };
  }
  function point(pk, p) {
    leader(pk).querySelectorAll("path").forEach(function (line) {
      line.setAttribute("d", line.getAttribute("d").replace(/L[^L]*$/, "L" + p.x.toFixed(1) + " " + p.y.toFixed(1)));
    });
    var dot = leader(pk).querySelector("circle");
    dot.setAttribute("cx", p.x.toFixed(1));
    dot.setAttribute("cy", p.y.toFixed(1));
  }
  // The sheet is laid out again by the server, so that balloons stand clear of each other.
  function fetchAgain(pk) {
    return fetch(location.href, { credentials: "same-origin" }).then(function (r) { return r.text(); }).then(function (text) {
      var fresh = new DOMParser().parseFromString(text, "text/html");
      [".drawing-box svg", ".part-list"].forEach(function (what) {
        var now = document.querySelector(what), then = fresh.querySelector(what);
        if (now && then) now.replaceWith(document.importNode(then, true));
      });
      var link = pk && drawn().querySelector('[data-balloon="' + pk + '"] a');
      if (link) link.focus();
    });
  }
  function keep(pk, p) {
    var to = part(p), data = new FormData();
    data.append("x", to.x.toFixed(5));
    data.append("y", to.y.toFixed(5));
    data.append("seen", drawn().querySelector('[data-balloon="' + pk + '"]').dataset.version);
    data.append("csrfmiddlewaretoken", form.querySelector("[name=csrfmiddlewaretoken]").value);
    return fetch(form.dataset.move.replace("/0/", "/" + pk + "/"), { method: "POST", body: data, credentials: "same-origin" }).then(function (r) {
      if (r.status !== 204) throw new Error("The balloon could not be kept there: someone else may have changed it.");
      told.textContent = "The balloon is moved.";
      return fetchAgain(pk);
    }).catch(function (error) {
      told.classList.remove("spoken");
      told.textContent = error.message + " Open “Move or change” in the list below.";
      return fetchAgain(pk);
    });
  }

  // Press the picture: the place goes into the form.
  function mark(p) {
    var old = drawn().querySelector(".here");
    if (old) old.remove();
    var ring = document.createElementNS(SVG, "circle");
    ring.setAttribute("class", "here");
    ring.setAttribute("cx", p.x);
    ring.setAttribute("cy", p.y);
    ring.setAttribute("r", 7);
    drawn().append(ring);
  }
  function write(to) {
    form.elements.across.value = (100 * to.x).toFixed(1);
    form.elements.down.value = (100 * to.y).toFixed(1);
  }
  box.addEventListener("click", function (e) {
    if (!e.target.closest("image")) return;
    var to = part(at(e));
    write(to);
    mark(place(to));
    form.scrollIntoView({ block: "nearest" });
    form.elements.of.focus({ preventScroll: true });
  });

  // Pull a balloon or the end of its leader.
  var pulled = null, hold = false;
  function numberOf(target) {
    var g = target.closest("[data-balloon], [data-leader]");
    return g && (g.dataset.balloon || g.dataset.leader);
  }
  box.addEventListener("pointerdown", function (e) {
    var pk = numberOf(e.target);
    if (!pk || e.button) return;
    pulled = { pk: pk, from: at(e), end: end(pk), far: false };
    hold = false;
  });
  box.addEventListener("dragstart", function (e) { e.preventDefault(); });
  window.addEventListener("pointermove", function (e) {
    if (!pulled) return;
    var now = at(e), dx = now.x - pulled.from.x, dy = now.y - pulled.from.y;
    if (!pulled.far && Math.hypot(dx, dy) < 5) return;
    pulled.far = true;
    pulled.to = place(part({ x: pulled.end.x + dx, y: pulled.end.y + dy }));
    point(pulled.pk, pulled.to);
    e.preventDefault();
  });
  ["pointerup", "pointercancel"].forEach(function (name) {
    window.addEventListener(name, function () {
      if (!pulled) return;
      var was = pulled;
      pulled = null;
      if (!was.far) return;
      hold = true;
      setTimeout(function () { hold = false; }, 50);
      if (name === "pointerup") keep(was.pk, was.to); else point(was.pk, was.end);
    });
  });
  // What was pulled is not opened.
  box.addEventListener("click", function (e) {
    if (hold) { e.preventDefault(); e.stopPropagation(); }
  }, true);

  // Arrow keys move the balloon that has the keyboard: half a part of a hundred, with Shift five.
  var waiting = 0;
  box.addEventListener("keydown", function (e) {
    var way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
    var pk = numberOf(e.target);
    if (!way || !pk) return;
    e.preventDefault();
    var i = picture(), by = e.shiftKey ? 0.05 : 0.005, now = end(pk);
    var to = place(part({ x: now.x + way[0] * by * i.w, y: now.y + way[1] * by * i.h }));
    point(pk, to);
    clearTimeout(waiting);
    waiting = setTimeout(function () { keep(pk, to); }, 700);
  });
})();
