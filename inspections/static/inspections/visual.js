// One key an outcome, and from item to item without the mouse. Without this the page is a plain form.
const form = document.querySelector("[data-visual]");
const groups = [...form.querySelectorAll("[data-item]")];
const said = document.querySelector("#visual-said");
const GOES_TO_REMARK = new Set(["C1", "C2", "C3", "FI", "LIM"]);

const remarkOf = (group) => group.closest("li").querySelector(".remark input");

function goTo(index) {
  const group = groups[index];
  if (group) {
    group.querySelector("input:checked").focus();
    group.closest("li").scrollIntoView({ block: "nearest" });
  }
}

const fields = [...form.querySelectorAll("[data-item] input, .remark input")];
const isChanged = (input) => (input.type === "radio" ? input.checked !== input.defaultChecked : input.value !== input.defaultValue);
const changedItems = () => new Set(fields.filter(isChanged).map((input) => input.closest("li"))).size;

function sayWhatIsOpen() {
  const count = changedItems();
  said.textContent = count ? `${count} item${count === 1 ? "" : "s"} not saved yet` : "";
}

form.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) {
    return;
  }
  const group = event.target.closest("li")?.querySelector("[data-item]");
  const index = groups.indexOf(group);
  if (index < 0) {
    return;
  }
  if (event.key === "ArrowDown" || event.key === "ArrowUp") {
    event.preventDefault();
    goTo(index + (event.key === "ArrowDown" ? 1 : -1));
  } else if (event.key === "Enter") {
    event.preventDefault();
    goTo(index + 1);
  } else if (event.target.type === "radio") {
    const choice = group.querySelector(`[data-key="${CSS.escape(event.key.toLowerCase())}"]`);
    if (choice) {
      event.preventDefault();
      choice.checked = true;
      sayWhatIsOpen();
      if (GOES_TO_REMARK.has(choice.value)) {
        remarkOf(group).focus();
      } else {
        goTo(index + 1);
      }
    }
  }
});

form.addEventListener("input", sayWhatIsOpen);

let isSent = false;
form.addEventListener("submit", () => {
  isSent = true;
});
window.addEventListener("pageshow", () => {
  isSent = false;
  sayWhatIsOpen();
});
window.addEventListener("beforeunload", (event) => {
  if (!isSent && changedItems()) {
    event.preventDefault();
  }
});
