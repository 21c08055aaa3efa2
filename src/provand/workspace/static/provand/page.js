// What a page that keeps as you type needs beside htmx: no field loses its text by an answer that comes late, by a
// session that has ended or by a program that does not answer; a file may be dropped; a click on the hill.
(function () {
  "use strict";

  var RETRY_MS = 5000;
  var typed = "input:not([type=hidden]):not([type=file]), select, textarea";
  var alone = ["revision", "all", "csrfmiddlewaretoken"];
  var failed = new Set();

  function standing(field) {
    if (field.type === "checkbox") return String(field.checked);
    return field.value;
  }

  function first(field) {
    if (field.type === "checkbox") return String(field.defaultChecked);
    if (field.tagName === "SELECT") {
      var chosen = Array.from(field.options).find(function (option) { return option.defaultSelected; });
      return chosen ? chosen.value : "";
    }
    return field.defaultValue;
  }

  // What stands in a field and has not been sent, or was sent and not taken.
  function unsent(field) {
    return standing(field) !== ("sent" in field.dataset ? field.dataset.sent : first(field));
  }

  function token() {
    var found = document.cookie.match(/(?:^|; )provand_form=([^;]*)/);
    return found ? decodeURIComponent(found[1]) : "";
  }

  function say(words) {
    var place = document.getElementById("said");
    if (!place) return;
    place.replaceChildren();
    if (!words) return;
    var line = document.createElement("p");
    line.className = "said mend";
    line.setAttribute("role", "alert");
    line.textContent = words;
    place.append(line);
  }

  // Each entry is sent alone, so that two people who type into one file disturb each other only at the same field.
  document.addEventListener("htmx:configRequest", function (event) {
    var field = event.detail.elt;
    // Signing in again in another window gives a new token, which the page's own does not know.
    if (token()) event.detail.formData.set("csrfmiddlewaretoken", token());
    if (!field.closest(".kept-as-typed") || field.name === "go") return;
    var wanted = alone.concat([field.name]);
    Array.from(new Set(event.detail.formData.keys())).forEach(function (name) {
      if (!wanted.includes(name)) event.detail.formData.delete(name);
    });
    var cause = event.detail.triggeringEvent;
    if (cause && cause.type === "input" && field.matches("input:not([type=checkbox])")) {
      event.detail.formData.set("quiet", "yes");
    }
    if (field.matches(typed)) field.dataset.sent = standing(field);
    failed.delete(field);
  });

  // An answer never replaces a field in which something stands that was not sent.
  document.addEventListener("htmx:oobBeforeSwap", function (event) {
    var target = event.detail.target;
    if (target.matches("ol[id$=-rows]")) return; // a row that comes is put after the others and replaces none
    if (Array.from(target.querySelectorAll(typed)).some(unsent)) event.detail.shouldSwap = false;
  });

  function notTaken(field) {
    if (!field || !field.matches || !field.matches(typed)) return;
    delete field.dataset.sent;
    failed.add(field);
  }

  function again() {
    failed.forEach(function (field) {
      failed.delete(field);
      if (field.isConnected) field.dispatchEvent(new Event("change", { bubbles: true }));
    });
  }

  document.addEventListener("htmx:sendError", function (event) {
    notTaken(event.detail.elt);
    say("Not kept yet: the program does not answer. What you typed stays here and is sent again.");
    window.setTimeout(again, RETRY_MS);
  });

  document.addEventListener("htmx:responseError", function (event) {
    notTaken(event.detail.elt);
    var place = document.getElementById("said");
    if (event.detail.xhr.status === 401 && place) place.innerHTML = event.detail.xhr.responseText;
    else say("Not kept: the program could not take it (" + event.detail.xhr.status + "). What you typed stays here.");
  });

  // What the library refuses (422) is said at the head; only this page's own answers go to their places.
  document.addEventListener("htmx:beforeSwap", function (event) {
    if (event.detail.xhr.status !== 422 || event.detail.xhr.responseText.includes("<main")) return;
    var place = document.getElementById("said");
    if (!place) return;
    event.detail.target = place;
    event.detail.swapOverride = "innerHTML";
  });

  window.addEventListener("focus", again);
  document.addEventListener("visibilitychange", function () { if (!document.hidden) again(); });

  window.addEventListener("beforeunload", function (event) {
    var form = document.querySelector(".kept-as-typed");
    if (form && failed.size) event.preventDefault();
  });

  // Enter in a field has sent it already; without this file it keeps the whole page.
  document.addEventListener("submit", function (event) {
    if (event.submitter && event.submitter.name === "keep" && window.htmx) event.preventDefault();
    var hidden = event.target.querySelector("input[name=csrfmiddlewaretoken]");
    if (hidden && token()) hidden.value = token();
  });

  document.addEventListener("focus-on", function (event) {
    var field = document.getElementById(event.detail.value);
    if (field) field.focus();
  });

  // A course file dropped on its field.
  ["dragenter", "dragover", "dragleave", "drop"].forEach(function (name) {
    document.addEventListener(name, function (event) {
      var zone = event.target.closest && event.target.closest("[data-drop]");
      if (!zone) return;
      event.preventDefault();
      zone.classList.toggle("over", name === "dragenter" || name === "dragover");
      if (name !== "drop" || !event.dataTransfer.files.length) return;
      var field = zone.querySelector("input[type=file]");
      field.files = event.dataTransfer.files;
      field.dispatchEvent(new Event("change", { bubbles: true }));
    });
  });

  // A click on the hill is a station at that place, to a tenth of a kilometre.
  document.addEventListener("click", function (event) {
    var hill = event.target.closest && event.target.closest("[data-profile]");
    var field = document.getElementById("station-at");
    if (!hill || !field) return;
    var drawn = hill.querySelector("svg").getBoundingClientRect();
    var x = (event.clientX - drawn.left) / drawn.width * Number(hill.dataset.width);
    var share = (x - Number(hill.dataset.left)) / (Number(hill.dataset.right) - Number(hill.dataset.left));
    if (share < 0 || share > 1) return;
    field.value = (share * Number(hill.dataset.km)).toFixed(1) + " km";
    field.dispatchEvent(new Event("placed", { bubbles: true }));
  });
})();
