// Shows a photograph as soon as it is taken or chosen.
(function () {
  "use strict";
  document.querySelectorAll("[data-photo]").forEach(function (box) {
    var input = box.querySelector("input[type=file]");
    var chosen = box.querySelector("[data-chosen]");
    var press = box.querySelector("[data-press]");
    var first = press.textContent;
    var shown = [];
    input.addEventListener("change", function () {
      shown.forEach(URL.revokeObjectURL);
      shown = [];
      chosen.replaceChildren();
      Array.from(input.files).forEach(function (file) {
        var address = URL.createObjectURL(file);
        shown.push(address);
        var picture = document.createElement("img");
        picture.alt = file.name;
        // A browser that cannot draw it (HEIC in most) says the name instead.
        picture.addEventListener("error", function () {
          var words = document.createElement("p");
          words.textContent = "Chosen: " + file.name;
          picture.replaceWith(words);
        });
        picture.src = address;
        chosen.append(picture);
      });
      press.textContent = input.files.length ? press.dataset.again : first;
    });
  });
})();
