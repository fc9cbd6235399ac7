// What has to be said before anything else can run: that this browser is too old to calculate, or that a file of the page is not
// there. Browsers of any age have to understand this file, so it is written as in 2009; the build refuses it otherwise.

(function () {
  var needed = (document.currentScript && document.currentScript.getAttribute("data-needs")) || "";

  /** @type {Record<string, () => boolean>} by what people may find written about them; site_demo/oldest.py knows since when */
  var features = {
    "JavaScript of 2022": function () {
      return typeof Object.hasOwn === "function" && typeof Array.prototype.at === "function";
    },
    "checkVisibility": function () {
      return typeof Element.prototype.checkVisibility === "function";
    },
    "WebAssembly with exceptions": function () {
      return typeof WebAssembly === "object" && typeof (/** @type {any} */ (WebAssembly).Exception) === "function";
    },
    "DecompressionStream": function () {
      return typeof DecompressionStream === "function";
    },
  };
  var every = Object.keys(features);
  /** @type {Record<string, string[]>} by what the page says that it needs */
  var needs = {
    worksheet: every,
    python: every.filter(function (name) {
      return name !== "checkVisibility";
    }),
    script: ["JavaScript of 2022"],
  };

  /** @param {string} id @param {string} what */
  function show(id, what) {
    var note = document.getElementById(id);
    var place = note && note.querySelector("[data-what]");
    if (!note || !place) return;
    place.textContent = place.textContent ? place.textContent + ", " + what : what;
    note.hidden = false;
  }

  /** @type {string[]} */
  var lost = [];
  // A script or style sheet of the page that is not there tells nobody but its own element, on the way down to it.
  window.addEventListener("error", function (event) {
    var missing = /** @type {any} */ (event.target);
    var address = missing && missing !== window && (missing.src || missing.href);
    // What a script asks for later, it speaks of itself.
    if (address && (missing.tagName === "LINK" || (missing.tagName === "SCRIPT" && !missing.async))) lost.push(address);
    // The notes stand in the body, and this may come before it.
    if (address && document.body) tell();
  }, true);

  function tell() {
    while (lost.length) show("file-missing", decodeURI(String(lost.shift())).split("/").slice(-2).join("/"));
  }

  document.addEventListener("DOMContentLoaded", function () {
    var missing = (needs[needed] || []).filter(function (name) {
      return !features[name]();
    });
    if (missing.length) show("too-old", missing.join(", "));
    var oldest = document.querySelector("#too-old [data-oldest]");
    if (oldest) oldest.textContent = SPILLMARK_OLDEST;
    tell();
  });
})();
