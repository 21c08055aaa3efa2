// What was waited for is there: it is shown at once, unless a hand is in the middle of something on this page. Then it
// waits until what is dragged is laid down, and what is typed is sent or taken out again; each second it is tried anew.
(function () {
  "use strict";

  var typed = "input:not([type=hidden]):not([type=file]), select, textarea";

  function touched(field) {
    if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
    if (field.tagName !== "SELECT") return field.value !== field.defaultValue;
    var first = Array.from(field.options).findIndex(function (option) { return option.defaultSelected; });
    return field.selectedIndex !== Math.max(0, first);
  }

  function busy(part) {
    return part.querySelector(".course .held") !== null || Array.from(part.querySelectorAll(typed)).some(touched);
  }

  // Where another answer takes the place of what waits, its own question is not answered any more.
  document.addEventListener("htmx:beforeSwap", function (event) {
    var waits = document.getElementById("waits"), target = event.detail.target;
    var asked = event.detail.requestConfig && event.detail.requestConfig.elt;
    if (waits && waits !== asked && target.contains(waits)) window.htmx.trigger(waits, "htmx:abort");
  });

  document.addEventListener("htmx:beforeSwap", function (event) {
    var asked = event.detail.requestConfig && event.detail.requestConfig.elt, part = event.detail.target;
    if (!asked || asked.id !== "waits" || part === asked || !busy(part)) return;
    event.detail.shouldSwap = false;
    event.stopImmediatePropagation();
    asked.querySelectorAll("progress, form, .note").forEach(function (one) { one.remove(); });
    asked.querySelector("p").textContent = "It is there, and shown as soon as what you typed here is sent or taken out again.";
  });

  // What has the focus by keys stays in the window when an answer moves it; a page scrolled away from it is left alone.
  var held = null;

  function inWindow(one) {
    var box = one.getBoundingClientRect();
    return box.height > 0 && box.top < window.innerHeight && box.bottom > 0;
  }

  document.addEventListener("htmx:beforeSwap", function () {
    var one = document.activeElement;
    held = one && one.id && one.matches(":focus-visible") && inWindow(one) ? one.id : null;
  });
  document.addEventListener("htmx:afterSettle", function () {
    var one = document.activeElement;
    if (held && one && one.id === held && !inWindow(one)) one.scrollIntoView({block: "nearest"});
  });
})();
