"use strict";
/* Rows of a formset: a button copies the empty row and counts it, so that one screen holds the whole thing. */
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-add-row]");
  if (!button) return;
  const prefix = button.dataset.addRow;
  const total = document.getElementById(`id_${prefix}-TOTAL_FORMS`);
  const template = document.getElementById(`${prefix}-empty`);
  const rows = document.getElementById(`${prefix}-rows`);
  const holder = document.createElement("template");
  const place = Number(total.value) || 0;
  holder.innerHTML = template.innerHTML.replaceAll("__prefix__", place);
  rows.append(holder.content);
  total.value = place + 1;
  const added = rows.lastElementChild;
  if (window.htmx) window.htmx.process(added);
  const field = added.querySelector("input:not([type=hidden]), select, textarea");
  field?.focus();
  if (field && button.dataset.fill) {
    field.value = button.dataset.fill;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
});
/* A button that cannot be undone asks once. */
document.addEventListener("submit", (event) => {
  const question = event.submitter?.dataset.confirm || event.target.dataset.confirm;
  if (question && !window.confirm(question)) event.preventDefault();
});
/* On a phone each row of a table stands by itself, so each cell carries the heading of its column. */
function headCells(root) {
  for (const table of root.querySelectorAll(".scroll > table:not(.calendar, .counting, .tree)")) {
    const heads = [...table.querySelectorAll("thead th")].map((cell) => cell.innerText.replace(/[↑↓]/g, "").trim());
    if (!heads.length) continue;
    for (const row of table.querySelectorAll("tbody tr")) {
      if (row.cells.length === heads.length) [...row.cells].forEach((cell, n) => (cell.dataset.label ??= heads[n]));
    }
    table.classList.add("stacks");
  }
}
headCells(document);
document.addEventListener("htmx:load", (event) => headCells(event.target.parentNode ?? document));
/* An open menu closes when one looks elsewhere. */
document.addEventListener("click", (event) => {
  for (const menu of document.querySelectorAll("details.menu[open]")) {
    if (!menu.contains(event.target)) menu.open = false;
  }
});
document.addEventListener("keydown", (event) => {
  const menu = event.key === "Escape" && document.querySelector("details.menu[open]");
  if (menu) {
    menu.open = false;
    menu.querySelector("summary").focus();
  }
});
