// Small helps for every page. Nothing here is needed to get the work done.

// The summary of what is wrong with a form takes the focus, so that it is read first.
document.querySelector("[data-focus]")?.focus();

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
