// Comfort for those whose browser runs scripts. Every page of the desk works without.

document.documentElement.classList.add("scripted");

// A field that an address leads to takes the focus; else what has to be read first.
function focusFieldInAddress() {
  const name = decodeURIComponent(location.hash.slice(1));
  const place = name.startsWith("field-") || name.startsWith("in-") ? document.getElementById(name) : null;
  for (let fold = place?.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  const field = place?.matches("input, select, textarea") ? place : place?.querySelector("input:not([type=hidden]), select, textarea");
  field?.focus();
  return Boolean(field);
}

// Browsers take the focus away again when they scroll to a place that can't have it: so once more, after that.
if (focusFieldInAddress()) addEventListener("load", () => requestAnimationFrame(focusFieldInAddress));
else document.querySelector("[data-takes-focus]")?.focus();
addEventListener("hashchange", focusFieldInAddress);

// After saving: on to the page as soon as it is built; where there is something to print, only say so.
const waiting = document.querySelector("[data-when-built]");
if (waiting) {
  const goOn = () => ("stays" in waiting.dataset ? location.reload() : location.replace(waiting.dataset.whenBuilt));
  fetch(waiting.dataset.whenBuilt, { redirect: "manual" }).then(goOn, () => {});
}

// A second click on a button that sends does not send twice.
document.addEventListener("submit", (sent) => {
  if (sent.target.dataset.sent) sent.preventDefault();
  sent.target.dataset.sent = "yes";
});
addEventListener("pageshow", () => {
  for (const form of document.forms) delete form.dataset.sent;
});

// What was written and not sent is not lost without a word. Pages that show it again say that it is still unsaved.
const isChanged = (field) => {
  if (!field.name || field.type === "hidden" || field.disabled || field.readOnly) return false;
  if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
  if (field.type === "file") return field.files.length > 0;
  if (field.options) {
    const first = Math.max(0, [...field.options].findIndex((option) => option.defaultSelected));
    return field.selectedIndex !== first;
  }
  return "defaultValue" in field && field.value !== field.defaultValue;
};
const isUnsaved = (form) => !form.dataset.sent && ("unsaved" in form.dataset || [...form.elements].some(isChanged));
let leaves = false;
document.addEventListener("click", (clicked) => {
  leaves = Boolean(clicked.target.closest?.("[data-leaves]"));
});
addEventListener("beforeunload", (leaving) => {
  if (leaves || ![...document.forms].some(isUnsaved)) return;
  leaving.preventDefault();
  leaving.returnValue = "";
});

// Photos dropped anywhere on their cloth, shown before they are sent, and weighed.
const MB = 1000000;

for (const cloth of document.querySelectorAll("[data-drop]")) {
  const input = cloth.querySelector("input[type=file]");
  const list = cloth.querySelector(".dropped");
  const fault = cloth.querySelector(".fault");
  const most = Number(cloth.dataset.most);
  const inAll = Number(cloth.dataset.mostInAll);

  const weigh = (files) => {
    const heavy = files.filter((file) => file.size > most * MB).map((file) => file.name);
    const whole = files.reduce((sum, file) => sum + file.size, 0);
    if (heavy.length) return `Larger than ${most} MB: ${heavy.join(", ")}. Choose a smaller copy.`;
    if (whole > inAll * MB) return `Together they are larger than ${inAll} MB. Send a few at a time.`;
    return "";
  };

  const show = () => {
    const files = [...input.files];
    list.replaceChildren(...files.map((file) => {
      const item = document.createElement("li");
      const picture = document.createElement("img");
      picture.alt = "";
      picture.src = URL.createObjectURL(file);
      picture.addEventListener("load", () => URL.revokeObjectURL(picture.src));
      picture.addEventListener("error", () => picture.remove());
      item.append(picture, file.name);
      return item;
    }));
    list.hidden = files.length === 0;
    const trouble = weigh(files);
    fault.textContent = trouble;
    fault.hidden = !trouble;
    input.setCustomValidity(trouble);
  };

  input.addEventListener("change", show);
  for (const event of ["dragenter", "dragover"]) {
    cloth.addEventListener(event, (dragged) => {
      dragged.preventDefault();
      cloth.classList.add("over");
    });
  }
  for (const event of ["dragleave", "drop"]) {
    cloth.addEventListener(event, () => cloth.classList.remove("over"));
  }
  cloth.addEventListener("drop", (dropped) => {
    dropped.preventDefault();
    const chosen = new DataTransfer();
    for (const file of [...(input.multiple ? input.files : []), ...dropped.dataTransfer.files]) chosen.items.add(file);
    input.files = chosen.files;
    show();
  });
}

// A drop beside the cloth would leave the page for the picture.
for (const event of ["dragover", "drop"]) addEventListener(event, (dragged) => dragged.preventDefault());

// Finding in a long list by a part of the name.
for (const tool of document.querySelectorAll("[data-find]")) {
  const items = [...document.querySelectorAll(`${tool.dataset.find} > li`)];
  if (items.length < 9) continue;
  tool.hidden = false;
  const input = tool.querySelector("input");
  const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
  input.addEventListener("input", () => {
    const wanted = plain(input.value).split(/\s+/).filter(Boolean);
    for (const item of items) {
      item.hidden = !wanted.every((word) => plain(item.textContent).includes(word));
    }
    for (const group of document.querySelectorAll(".pick-group")) {
      group.hidden = !group.querySelector("li:not([hidden])");
    }
  });
  input.addEventListener("keydown", (pressed) => {
    if (pressed.key === "Enter") pressed.preventDefault();
  });
}

// How many are ticked.
const told = document.querySelector(".chosen-count");
if (told) {
  const form = told.closest("form");
  const count = () => {
    const ticked = form.querySelectorAll(".pick input:checked").length;
    told.textContent = ticked === 1 ? "1 quilt ticked" : `${ticked} quilts ticked`;
  };
  form.addEventListener("change", count);
  count();
}

// Of a destination only the fields that its state has.
const state = document.querySelector("[data-state]");
if (state) {
  const fields = [...document.querySelectorAll("[data-states]")];
  const fit = () => {
    for (const field of fields) {
      field.hidden = !field.dataset.states.split(" ").includes(state.value);
    }
  };
  state.addEventListener("change", fit);
  fit();
}
