// Choosing an earlier text fills it in at once. Without this the button sends the form and the page comes back filled.
const list = document.querySelector("#earlier-texts");

list?.addEventListener("click", (event) => {
  const button = event.target.closest("button[name=use]");
  if (!button) {
    return;
  }
  event.preventDefault();
  const text = document.querySelector("#id_text");
  text.value = button.dataset.text;
  document.querySelector("#id_regulation").value = button.dataset.regulation;
  text.focus();
});

// Enter in the search box searches; it does not save the observation.
document.querySelector("#look_for")?.addEventListener("keydown", (event) => {
  if (event.key === "Enter") {
    event.preventDefault();
  }
});
