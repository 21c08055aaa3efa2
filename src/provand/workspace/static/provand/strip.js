// The strip under a hand: drag an intake along the course, or move it by keys. The server answers with the whole part;
// here only the flag follows, a ring stays at the old place, and what was open is opened again.
(function () {
  "use strict";

  var STEP_M = 100, FAR_M = 1000, WAIT_MS = 350, NEAR_PX = 4;
  var SVG = "http://www.w3.org/2000/svg";
  var drag = null, nudge = null, busy = false, opened = [], waiting = [];

  function part() { return document.getElementById("plan"); }
  function slider(node) { return node.closest ? node.closest(".course [role=slider]") : null; }
  function row(key) { return document.querySelector('#plan tr[data-key="' + key + '"]'); }

  // Geometry: where a metre lies on this strip.

  function ground(handle) {
    var course = handle.closest(".course").dataset, upright = handle.getAttribute("aria-orientation") === "vertical";
    var length = Number(course.length);
    var perM = upright ? Number(course.perKm) / 1000 : (course.right - course.left) / length;
    return { upright: upright, length: length, perM: perM };
  }

  function moved(handle, at) {
    var g = ground(handle), by = (at - Number(handle.getAttribute("aria-valuenow"))) * g.perM;
    return g.upright ? { x: 0, y: by } : { x: by, y: 0 };
  }

  // What is seen while it moves.

  function show(handle, at) {
    if (!handle.trace) trace(handle);
    var by = moved(handle, at), old = handle.trace.old;
    handle.setAttribute("transform", "translate(" + by.x + " " + by.y + ")");
    handle.trace.line.setAttribute("x2", old.x + by.x);
    handle.trace.line.setAttribute("y2", old.y + by.y);
    handle.trace.text.setAttribute("x", old.x + by.x + 8);
    handle.trace.text.setAttribute("y", old.y + by.y - 8);
    handle.trace.text.textContent = (at / 1000).toFixed(1) + " km";
    handle.classList.add("held");
  }

  function trace(handle) {
    var sign = handle.querySelector("circle.sign, circle.ring, rect.sign");
    var box = sign.getBBox(), old = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    var group = document.createElementNS(SVG, "g");
    var line = add(group, "line", { class: "was-line", x1: old.x, y1: old.y, x2: old.x, y2: old.y });
    add(group, "circle", { class: "was-ring", cx: old.x, cy: old.y, r: 4.5 });
    var text = add(group, "text", { class: "time", x: old.x, y: old.y });
    handle.parentNode.insertBefore(group, handle);
    handle.trace = { group: group, line: line, text: text, old: old };
  }

  function add(parent, name, values) {
    var node = document.createElementNS(SVG, name);
    Object.keys(values).forEach(function (key) { node.setAttribute(key, values[key]); });
    return parent.appendChild(node);
  }

  function putBack(handle) {
    if (handle.trace) handle.trace.group.remove();
    handle.trace = null;
    handle.removeAttribute("transform");
    handle.classList.remove("held");
  }

  // What is sent.

  function send(kind, handle, to) {
    var form = document.getElementById("edit"), at = row(handle.dataset.key);
    if (busy || !form || !at) return putBack(handle);
    fill(form, { kind: kind, item: at.dataset.item, at: at.dataset.at + " m", to: to === undefined ? "" : to.toFixed(0) + " m" });
    busy = true;
    window.htmx.trigger(form, "submit");
  }

  // Which strip this window shows: an answer to an edit holds that one and the level one, no other.
  function seen() {
    var shown = ["level", "middling", "narrow"].find(function (name) {
      var place = document.querySelector(".course .strip-" + name);
      return place && place.getClientRects().length > 0;
    });
    return shown || "";
  }

  window.addEventListener("resize", function () {
    var shown = seen(), place = shown && document.querySelector(".course .strip-" + shown);
    if (!place || place.querySelector("svg") || busy) return;
    busy = true;
    window.htmx.ajax("GET", document.querySelector(".course").dataset.url, { target: "#plan", swap: "outerHTML" });
  });

  function fill(form, values) {
    Object.keys(values).forEach(function (name) { form.querySelector('[name="' + name + '"]').value = values[name]; });
  }

  function place(at, length) { return Math.min(Math.max(Math.round(at / STEP_M) * STEP_M, STEP_M), Math.floor(length)); }

  // By hand.

  document.addEventListener("pointerdown", function (event) {
    var handle = slider(event.target);
    if (!handle || event.button !== 0 || busy) return;
    if (event.pointerType === "touch" && !event.target.classList.contains("grip")) return; // a finger there scrolls
    drag = { handle: handle, x: event.clientX, y: event.clientY, at: Number(handle.getAttribute("aria-valuenow")), to: null };
    handle.setPointerCapture(event.pointerId);
  });

  document.addEventListener("pointermove", function (event) {
    if (!drag) return;
    var g = ground(drag.handle), scale = drag.handle.ownerSVGElement.getScreenCTM();
    var px = g.upright ? (event.clientY - drag.y) / scale.d : (event.clientX - drag.x) / scale.a;
    if (drag.to === null && Math.abs(px) < NEAR_PX) return;
    drag.to = place(drag.at + px / g.perM, g.length);
    show(drag.handle, drag.to);
  });

  function drop() {
    if (!drag) return;
    var done = drag;
    drag = null;
    if (done.to === null) return done.handle.focus();
    if (done.to === Math.round(done.at)) return putBack(done.handle);
    send("move", done.handle, done.to);
  }

  document.addEventListener("pointerup", drop);
  document.addEventListener("pointercancel", function () {
    if (drag) putBack(drag.handle);
    drag = null;
  });

  // By keys.

  function station(at, length, course, ahead) {
    var places = course.dataset.stations.split(" ").filter(Boolean).map(Number);
    if (!ahead) places.reverse();
    return places.find(function (one) { return ahead ? one > at + 60 : one < at - 60; });
  }

  function step(handle, event) {
    var far = event.shiftKey ? FAR_M : STEP_M;
    var ways = { ArrowLeft: -far, ArrowUp: -far, ArrowRight: far, ArrowDown: far };
    return ways[event.key] || 0;
  }

  function nudgeBy(handle, to) {
    clearTimeout(nudge && nudge.timer);
    nudge = { handle: handle, to: to, timer: setTimeout(commit, WAIT_MS) };
    show(handle, to);
  }

  function commit() {
    if (!nudge) return;
    var done = nudge;
    nudge = null;
    clearTimeout(done.timer);
    if (done.to === Number(done.handle.getAttribute("aria-valuenow"))) return putBack(done.handle);
    send("move", done.handle, done.to);
  }

  function menu(handle, then) {
    var details = row(handle.dataset.key).querySelector("details.hand");
    if (details.open) return then(details);
    details.addEventListener("htmx:afterSettle", function () { then(details); }, { once: true });
    details.open = true;
  }

  function choose(selector) {
    return function (details) {
      var found = details.querySelector(selector) || details.querySelector("summary");
      found.focus();
      found.scrollIntoView({ block: "nearest" });
    };
  }

  document.addEventListener("keydown", function (event) {
    if (event.ctrlKey && event.key.toLowerCase() === "z" && !typing(event.target)) return back(event);
    if (event.key === "Escape" && (drag || nudge)) return escape(event);
    var handle = slider(event.target);
    if (!handle || event.ctrlKey || event.metaKey || event.altKey || busy) return;
    var course = handle.closest(".course"), length = Number(course.dataset.length);
    var at = nudge ? nudge.to : Number(handle.getAttribute("aria-valuenow")), by = step(handle, event);
    var key = event.key.toLowerCase();
    if (by) nudgeBy(handle, place(at + by, length));
    else if (key === "pageup" || key === "pagedown") {
      var next = station(at, length, course, key === "pagedown");
      if (next !== undefined) nudgeBy(handle, next);
    } else if (key === "p") send(row(handle.dataset.key).hasAttribute("data-pinned") ? "unpin" : "pin", handle);
    else if (key === "b") send("ban", handle);
    else if (key === "s") menu(handle, choose("select[name=other]"));
    else if (key === "enter") menu(handle, choose("summary"));
    else return;
    event.preventDefault();
  });

  function typing(node) { return /^(INPUT|TEXTAREA|SELECT)$/.test(node.tagName); }

  function back(event) {
    event.preventDefault();
    press(event.shiftKey ? "redo" : "undo");
  }

  // A press that comes while an answer is awaited is done after it.
  function press(name) {
    if (busy) return waiting.push(name);
    var button = document.getElementById(name);
    if (!button) return;
    busy = true;
    button.click();
  }

  function escape(event) {
    event.preventDefault();
    var handle = (drag || nudge).handle;
    if (nudge) clearTimeout(nudge.timer);
    drag = nudge = null;
    putBack(handle);
  }

  // Before and after an answer: nothing that was open closes, and the chosen intake keeps the focus.

  document.addEventListener("htmx:configRequest", function (event) {
    if (event.detail.verb === "post") event.detail.parameters.seen = seen();
  });

  document.addEventListener("htmx:beforeRequest", function (event) {
    if (event.target.id === "edit" || event.target.closest("#plan form")) busy = true;
  });

  document.addEventListener("htmx:beforeSwap", function (event) {
    if (event.detail.target.id !== "plan") return;
    opened = Array.from(document.querySelectorAll("#plan details[data-figure][open]")).map(function (one) {
      return one.dataset.figure;
    });
    document.querySelectorAll(".course [role=slider]").forEach(putBack);
  });

  document.addEventListener("htmx:afterSettle", function (event) {
    if (event.target.id !== "plan") return;
    busy = false;
    drag = nudge = null;
    opened.forEach(function (figure) {
      var details = document.querySelector('#plan details[data-figure="' + figure + '"]');
      if (details) details.open = true;
    });
    var key = part().dataset.chosen;
    if (key) focusOn(key);
    if (waiting.length) press(waiting.shift());
  });

  function focusOn(key) {
    var shown = Array.from(document.querySelectorAll('#plan [role=slider][data-key="' + key + '"]')).find(function (one) {
      return one.getClientRects().length > 0;
    });
    if (shown) shown.focus({ preventScroll: true });
  }

  ["htmx:responseError", "htmx:sendError", "htmx:timeout"].forEach(function (name) {
    document.addEventListener(name, function () {
      busy = false;
      waiting = [];
      document.querySelectorAll(".course [role=slider]").forEach(putBack);
    });
  });
})();
