"use strict";
// Light and dark: as the system has it until the button is pressed. "scheme" tells that it changed.
(() => {
  const root = document.documentElement;
  const system = matchMedia("(prefers-color-scheme: dark)");
  const button = document.getElementById("scheme");
  let chosen = null;
  const show = (scheme) => {
    root.dataset.scheme = scheme;
    button.textContent = scheme === "dark" ? "Light" : "Dark";
    button.setAttribute("aria-label", `${button.textContent} colours`);
    dispatchEvent(new Event("scheme"));
  };
  const current = () => chosen ?? (system.matches ? "dark" : "light");
  button.hidden = false;
  button.addEventListener("click", () => show((chosen = current() === "dark" ? "light" : "dark")));
  system.addEventListener("change", () => show(current()));
  addEventListener("beforeprint", () => show("light"));
  addEventListener("afterprint", () => show(current()));
  show(current());
})();
