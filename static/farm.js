// Small, deferred, no build: a sheet may be dropped, its way through is told, and trouble is said aloud.
"use strict";

const trouble = () => document.getElementById("trouble");

function tell(form, text) {
  const line = form.querySelector("[data-progress]");
  if (line) line.textContent = text;
}

document.addEventListener("dragover", (event) => {
  const area = event.target.closest?.(".drop");
  if (!area) return;
  event.preventDefault();
  area.classList.add("over");
});
document.addEventListener("dragleave", (event) => event.target.closest?.(".drop")?.classList.remove("over"));
document.addEventListener("drop", (event) => {
  const area = event.target.closest?.(".drop");
  if (!area) return;
  event.preventDefault();
  area.classList.remove("over");
  const input = area.querySelector('input[type="file"]');
  if (event.dataTransfer.files.length === 0) return;
  input.files = event.dataTransfer.files;
  input.dispatchEvent(new Event("change", { bubbles: true }));
});

// A chosen file is read at once; pasted rows wait for the button.
document.addEventListener("change", (event) => {
  const form = event.target.closest?.("form[data-send-on-choice]");
  if (form && event.target.type === "file" && event.target.files.length) form.requestSubmit();
});

document.addEventListener("htmx:xhr:progress", (event) => {
  const form = event.target.closest?.("form");
  if (!form?.dataset.sending || !event.detail.lengthComputable) return;
  const { loaded, total } = event.detail;
  tell(form, loaded < total
    ? form.dataset.sending.replace("%", `${Math.round((100 * loaded) / total)} %`)
    : form.dataset.reading);
});
document.addEventListener("htmx:beforeRequest", () => { trouble().hidden = true; });
function tellTrouble(kind) {
  for (const words of trouble().querySelectorAll("[data-trouble]")) words.hidden = words.dataset.trouble !== kind;
  trouble().hidden = false;
}
for (const kind of ["htmx:sendError", "htmx:timeout"]) document.addEventListener(kind, () => tellTrouble("line"));
document.addEventListener("htmx:responseError", (event) => {
  tellTrouble(event.detail.xhr.status >= 500 ? "broke" : "refused");
});
document.addEventListener("click", (event) => {
  if (event.target.closest?.("[data-print]")) window.print();
});

// What stood open stays open when the answer is worked out again; empty fields are left out of the address.
document.documentElement.classList.add("scripted");
let open = [];
document.addEventListener("htmx:beforeSwap", (event) => {
  open = [...event.detail.target.querySelectorAll("details[open][id]")].map((part) => part.id);
});
document.addEventListener("htmx:afterSwap", () => {
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
});
document.addEventListener("htmx:configRequest", (event) => {
  const form = event.target.closest?.("[data-drop-empty]");
  if (!form) return;
  for (const [name, value] of [...event.detail.formData.entries()]) if (value === "") event.detail.formData.delete(name);
});
