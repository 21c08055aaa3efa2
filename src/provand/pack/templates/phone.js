"use strict";
const root = document.documentElement;
const look = () => root.classList.toggle("ended", Date.now() >= Date.parse(root.dataset.until));
look();
setInterval(look, 60000);
addEventListener("pageshow", look);
document.addEventListener("visibilitychange", look);
const said = document.getElementById("said");
document.addEventListener("change", () => {
  const now = [...document.querySelectorAll(".state, .ask")].find(one => one.offsetParent !== null);
  if (said) said.textContent = now ? now.firstElementChild.textContent : "";
});
