// Small helps for every page. Nothing here is needed to get the work done.

// The summary of what is wrong with a form takes the focus, so that it is read first.
document.querySelector("[data-focus]")?.focus();

// A link that is there to be copied is marked, so that one key copies it.
document.querySelector("input[readonly][autofocus]")?.select();

// The key / goes to the box that finds; the arrows go from it through what was found.
document.addEventListener("keydown", (event) => {
  const box = document.querySelector("#find");
  if (event.key === "/" && box && !event.target.closest("input, textarea, select")) {
    event.preventDefault();
    box.select();
    return;
  }
  const steps = [box, ...document.querySelectorAll("#found li > a")];
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  const next = steps[steps.indexOf(event.target) + step];
  if (steps.length > 1 && steps.includes(event.target) && next) {
    event.preventDefault();
    next.focus();
  }
});

// A button pressed twice in a hurry sends its form once. A script that sends a form itself is left alone.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented) {
    return;
  }
  if (form.dataset.sent) {
    event.preventDefault();
  }
  form.dataset.sent = "yes";
});

// Coming back with the browser's own button brings the page as it was left; it may be sent again.
window.addEventListener("pageshow", () => {
  document.querySelectorAll("form[data-sent]").forEach((form) => delete form.dataset.sent);
});
