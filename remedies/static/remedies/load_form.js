// Shows only the values that matter to the kind chosen, and fills the form from a preset. Without it the form
// shows every value, and a preset comes by its own button.

const kind = document.querySelector("#id_kind");
const kindValues = JSON.parse(document.querySelector("#kind-values").textContent);
const names = new Set(Object.values(kindValues).flatMap((values) => Object.keys(values)));
const usualLabels = new Map();

function field(name) {
  return document.querySelector(`#id_${name}`);
}

// Whatever an entry already says stays in sight, whatever its kind.
const filled = new Set([...names].filter((name) => !["", "1"].includes(field(name).value)));

function showValues() {
  const wanted = kindValues[kind.value] ?? {};
  for (const name of names) {
    const input = field(name);
    const label = document.querySelector(`label[for="id_${name}"]`);
    usualLabels.set(name, usualLabels.get(name) ?? label.textContent.trim());
    label.textContent = wanted[name] || usualLabels.get(name);
    const shown = name in wanted || filled.has(name) || input.classList.contains("is-invalid");
    document.querySelector(`#div_id_${name}`).hidden = !shown;
    input.disabled = !shown;
  }
}

kind.addEventListener("change", showValues);
showValues();

const preset = document.querySelector("#preset");
if (preset) {
  const presets = JSON.parse(document.querySelector("#preset-values").textContent);
  preset.form.querySelector("button").hidden = true;
  preset.addEventListener("change", () => {
    for (const [name, text] of Object.entries(presets[preset.value] ?? {})) {
      field(name).value = text;
    }
    showValues();
  });
}
