// When the browser or the person says no to a passkey, the page says so.
document.addEventListener("allauth.error", (event) => {
  event.preventDefault();
  document.querySelector("[data-passkey-problem]").hidden = false;
});
