/* The fields of a form: what stands in them, and putting values into them. Other scripts use it as yardFields. */
"use strict";

window.yardFields = (() => {
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const controls = (field) => all("input:not([type=file]), select, textarea", field);

  function rawOf(field) {
    const kind = field.dataset.kind;
    if (kind === "series") return controls(field).map((control) => control.value);
    if (kind === "table") {
      return all(":scope .rows > .row", field).map((row) => controls(row).map((control) => control.value));
    }
    return controls(field)[0].value;
  }

  function numberRows(field) {
    all(":scope .rows > .row", field).forEach((row, index) => {
      const base = field.dataset.answer;
      for (const control of controls(row)) {
        const column = control.closest("[data-column]").dataset.column;
        control.name = `${base}.${index}.${column}`;
        const id = `a-${field.dataset.owner}-${base}-${index}-${column}`;
        const label = control.closest("[data-column]").querySelector("label");
        control.id = id;
        label.htmlFor = id;
      }
      row.querySelector(".row-name").textContent = `Row ${index + 1}`;
      row.setAttribute("aria-label", row.getAttribute("aria-label").replace(/row \S+$/, `row ${index + 1}`));
      const remove = row.querySelector("[data-remove-row]");
      remove.setAttribute("aria-label", remove.getAttribute("aria-label").replace(/row \S+/, `row ${index + 1}`));
    });
  }

  function addRow(field) {
    const rows = field.querySelector(".rows");
    rows.append(field.querySelector("template").content.cloneNode(true));
    numberRows(field);
    return rows.lastElementChild;
  }

  function setField(field, value) {
    const kind = field.dataset.kind;
    const list = Array.isArray(value) ? value : [value];
    if (kind === "table") {
      const rows = field.querySelector(".rows");
      while (rows.children.length > list.length) rows.lastElementChild.remove();
      while (rows.children.length < list.length) addRow(field);
      [...rows.children].forEach((row, index) => {
        const cells = Array.isArray(list[index]) ? list[index] : [];
        controls(row).forEach((control, column) => put(control, cells[column]));
      });
    } else {
      controls(field).forEach((control, index) => put(control, list[index]));
    }
  }

  function put(control, value) {
    const text = value === null || value === undefined ? "" : String(value);
    if (control.tagName === "SELECT" && !all("option", control).some((option) => option.value === text)) {
      const option = document.createElement("option");
      option.value = option.textContent = text;
      option.dataset.extra = "";
      control.append(option);
    }
    if (control.value !== text) control.value = text;
  }

  /* The names that tables of the reader's own add to choices. */
  function putChoices(choices) {
    for (const select of all("select[data-options-from]")) {
      const names = choices[select.dataset.optionsFrom] || [];
      const kept = select.value;
      for (const option of all("option[data-extra]", select)) {
        if (!names.includes(option.value) && option.value !== kept) option.remove();
      }
      const known = new Set(all("option", select).map((option) => option.value));
      for (const name of names) {
        if (known.has(name)) continue;
        const option = document.createElement("option");
        option.value = option.textContent = name;
        option.dataset.extra = "";
        select.append(option);
      }
    }
  }

  /* The text of a file of readings; old spreadsheets write UTF-16. */
  async function textOf(file) {
    const bytes = new Uint8Array(await file.arrayBuffer());
    const mark = bytes[0] * 256 + bytes[1];
    return new TextDecoder(mark === 0xfffe ? "utf-16le" : mark === 0xfeff ? "utf-16be" : "utf-8").decode(bytes);
  }

  return { textOf, controls, rawOf, setField, addRow, numberRows, putChoices };
})();
