/* Carries what the reader enters to the calculators and shows what they return. It computes nothing.
   The page is complete without it: every form and figure was written for the example yard when the site was built. */
"use strict";

(() => {
  const here = document.currentScript.src;
  const STORE = "composting-yard-plan";
  const EARLIER = "composting-yard-plan-earlier";
  const START_LIMIT_MS = 90_000;
  const TYPING_PAUSE_MS = 250;
  const UNDO_PAUSE_MS = 4_000;
  const UNDO_STEPS = 100;
  const SVG = "http://www.w3.org/2000/svg";

  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const forms = all("form[data-form]");

  const plan = { answers: {}, example: "larkhollow", system: "metric" };
  let worker = null;
  let ready = false;
  let broken = false;
  let sent = 0;
  let shown = 0;
  let waiting = null;
  let quietField = null;
  let submitted = false;
  let choices = {};
  let figures = {};
  let synced = {};
  const past = [];
  let startTimer = 0;
  const seen = new Map();

  /* ---- the device ---- */

  function load(key) {
    try {
      const held = JSON.parse(localStorage.getItem(key) || "null");
      return held && held.version === 1 && held.answers && typeof held.answers === "object" ? held : null;
    } catch {
      return null;
    }
  }

  const takeFrom = ({ answers, example, system }) => Object.assign(plan, { answers, example, system });
  const held = () => ({ version: 1, answers: plan.answers, example: plan.example, system: plan.system });

  function save(key = STORE, what = null) {
    if (key === STORE) merge(load(STORE));
    const written = what || held();
    try {
      localStorage.setItem(key, JSON.stringify(written));
      if (key === STORE) synced = structuredClone(written.answers);
    } catch {
      say("This browser does not let the page keep your answers. Copy a link to keep them.");
    }
  }

  /* Another tab may have written since this one last read: what only the other changed is taken over, what was changed
     here stays, so neither loses the other's answers. Gives whether anything was taken over. */
  function merge(theirs) {
    if (!theirs || plan.fromLink) return false;
    const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);
    let taken = false;
    for (const name of new Set([...Object.keys(theirs.answers), ...Object.keys(synced)])) {
      if (same(theirs.answers[name], synced[name]) || !same(plan.answers[name], synced[name])) continue;
      if (name in theirs.answers) plan.answers[name] = theirs.answers[name];
      else delete plan.answers[name];
      taken = true;
    }
    synced = structuredClone(theirs.answers);
    return taken;
  }

  /* ---- steps back ---- */

  function remember(field) {
    const now = Date.now();
    const sameField = field && past.length && past.at(-1).field === field && now - past.at(-1).at < UNDO_PAUSE_MS;
    if (sameField) past.at(-1).at = now;
    else past.push({ field, at: now, plan: structuredClone(held()) });
    if (past.length > UNDO_STEPS) past.shift();
    showUndo();
  }

  function showUndo() {
    for (const button of all("[data-undo]")) button.disabled = !past.length;
  }

  function undo() {
    const step = past.pop();
    if (!step) return;
    takeFrom(step.plan);
    delete plan.fromLink;
    quietField = null;
    save();
    say("The last change is undone.");
    ask({ forms: true });
    showUndo();
  }

  /* ---- building what Python returned ---- */

  function build(node, inSvg = false) {
    if (typeof node === "string") return document.createTextNode(node);
    const [tag, attributes, children] = node;
    const svg = inSvg || tag === "svg";
    const made = svg ? document.createElementNS(SVG, tag) : document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    const inside = tag === "template" ? made.content : made;
    for (const child of children) inside.append(build(child, svg));
    return made;
  }

  function fill(part, nodes) {
    const open = new Map(all("details[data-keep]", part).map((each) => [each.dataset.keep, each.open]));
    part.replaceChildren(...nodes.map((node) => build(node)));
    for (const each of all("details[data-keep]", part)) {
      if (open.has(each.dataset.keep)) each.open = open.get(each.dataset.keep);
    }
  }

  /* ---- fields ---- */

  const controls = (field) => all("input, select", field);

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

  function putOwn() {
    for (const form of forms) {
      for (const field of all("[data-answer]", form)) {
        field.dataset.owner = form.dataset.form;
        const name = field.dataset.answer;
        if (name in plan.answers) setField(field, plan.answers[name]);
      }
    }
  }

  function putChoices() {
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

  /* ---- words to the reader ---- */

  function say(words) {
    for (const line of all("[data-said]")) line.textContent = words;
  }

  function tell(words, retry = false) {
    for (const line of all("[data-live-state]")) {
      line.textContent = words;
      if (retry) {
        const again = document.createElement("button");
        again.type = "button";
        again.textContent = "Try again";
        again.addEventListener("click", () => restart());
        line.append(" ", again);
      }
    }
  }

  /* ---- the worker ---- */

  function start() {
    if (worker || broken) return;
    tell("Starting the calculator …");
    try {
      worker = new Worker(new URL("worker.js", here));
    } catch (error) {
      failed(String(error));
      return;
    }
    startTimer = setTimeout(() => failed("it took too long to start"), START_LIMIT_MS);
    worker.onmessage = ({ data }) => {
      if (data.kind === "ready") {
        clearTimeout(startTimer);
        ready = true;
        document.documentElement.dataset.calculators = "ready";
        if (!waiting) ask();
        else flush();
      } else if (data.kind === "failed") {
        failed(data.reason);
      } else if (data.kind === "reply") {
        received(data.id, JSON.parse(data.text));
      }
    };
    worker.onerror = (event) => {
      event.preventDefault();
      failed(event.message || "its files did not arrive");
    };
  }

  function failed(reason) {
    clearTimeout(startTimer);
    if (worker) worker.terminate();
    worker = null;
    ready = false;
    broken = true; // only the reader's own wish starts it again
    shown = sent;
    document.documentElement.dataset.calculators = "failed";
    tell(
      `The calculator did not start (${reason}). Your answers are kept; the figures are those last shown.`,
      true,
    );
  }

  function restart() {
    broken = false;
    delete document.documentElement.dataset.calculators;
    start();
  }

  function ask(more = {}) {
    const parts = new Set(all("[data-part]").map((each) => each.dataset.part));
    if (!more.forms) for (const part of [...parts]) if (part.startsWith("form:")) parts.delete(part);
    waiting = {
      ...plan,
      parts: [...parts],
      forms: forms.map((form) => form.dataset.form),
      base: document.querySelector("[data-base]")?.dataset.base ?? "",
      before: figures,
      ...more.request,
    };
    start();
    if (ready) flush();
  }

  function flush() {
    // one question at a time: while Python works, newer answers replace the question that waits
    if (!waiting || sent > shown) return;
    const text = JSON.stringify(waiting);
    waiting = null;
    sent += 1;
    document.documentElement.dataset.calculators = "working";
    worker.postMessage({ id: sent, text });
  }

  function received(id, found) {
    shown = id;
    if (found.refused) {
      say(found.refused);
      delete plan.fromFile;
    } else if (found.fault) {
      tell(`This could not be computed (${found.fault}). Your answers are kept.`);
    } else {
      show(found);
    }
    if (waiting) flush();
    else document.documentElement.dataset.calculators = "ready";
  }

  /* ---- showing a reply ---- */

  function show(found) {
    if (found.plan) {
      Object.assign(plan, found.plan);
      if (plan.fromFile) {
        const saved = load(STORE);
        if (saved) save(EARLIER, saved);
        delete plan.fromFile;
        delete plan.fromLink;
        offerEarlier(found.problems ? "The file is open; what could not be used is listed above." : "The file is open.");
      }
      if (!plan.fromLink) save();
    }
    if (found.file) download(found.file);
    figures = found.figures;
    const active = document.activeElement;
    for (const part of all("[data-part]")) {
      const nodes = found.parts[part.dataset.part];
      if (nodes === undefined) continue;
      if (quietField && part.dataset.part === `error:${quietField}`) continue;
      const text = JSON.stringify(nodes);
      if (seen.get(part) === text) continue;
      seen.set(part, text);
      fill(part, nodes);
    }
    choices = found.choices;
    putChoices();
    putOwn();
    for (const form of forms) {
      for (const field of all("[data-answer]", form)) {
        const name = field.dataset.answer;
        if (!(name in plan.answers) && name in found.values) setField(field, found.values[name]);
        field.classList.toggle("field-own", name in plan.answers);
      }
    }
    const wrong = new Set(found.wrong);
    for (const control of all("form[data-form] input, form[data-form] select")) {
      const field = control.closest("[data-answer]").dataset.answer;
      if (wrong.has(control.name) && field !== quietField) control.setAttribute("aria-invalid", "true");
      else control.removeAttribute("aria-invalid");
    }
    const onlyQuiet = quietField && found.wrong.every((name) => name.split(".")[0] === quietField);
    for (const place of all("[data-problems]")) {
      place.replaceChildren(...(found.problems && !onlyQuiet ? [build(found.problems)] : []));
    }
    if (submitted && !waiting) {
      submitted = false;
      document.querySelector(".problems")?.focus(); // after Enter the summary of what is wrong takes the focus
    }
    const example = document.getElementById("plan-example");
    if (example) example.value = found.example;
    const units = document.getElementById("plan-units");
    if (units) units.value = found.system;
    const count = Object.keys(plan.answers).length;
    tell(
      count
        ? `Computed in this page from ${count === 1 ? "one answer" : `${count} answers`} of your own; nothing was sent anywhere.`
        : "Computed in this page for the example yard. Change any answer; nothing is sent anywhere.",
    );
    const strip = document.querySelector(".answer-strip") || document.querySelector(".yard-step .sentence");
    const words = found.wrong.length && !onlyQuiet ? "An answer needs attention. " : "";
    for (const line of all("[data-spoken]")) {
      const said = words + (strip ? strip.textContent : "");
      if (line.textContent !== said) line.textContent = said;
    }
    if (count || location.hash.includes("=")) {
      const hash = found.fragment ? `#${found.fragment}` : location.pathname + location.search;
      history.replaceState(history.state, "", hash);
    }
    document.documentElement.dataset.fragment = found.fragment;
    if (active && !active.isConnected && active.id) document.getElementById(active.id)?.focus();
  }

  function download(text) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = "yard-plan.json";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
    say("Your answers are saved to a file. The command line opens it too.");
  }

  async function openFile(file) {
    if (!file) return;
    if (Object.keys(plan.answers).length && !confirm("Open the file in place of your present answers? They can be brought back.")) return;
    remember(null);
    plan.fromFile = true;
    ask({ forms: true, request: { file: await file.text() } });
  }

  /* ---- what the reader does ---- */

  let typing = 0;

  function changed(field, typingStill) {
    remember(field.dataset.answer);
    delete plan.fromLink; // answers that came with a link take the place of saved ones only when changed
    plan.answers[field.dataset.answer] = rawOf(field);
    quietField = typingStill ? field.dataset.answer : null;
    save();
    clearTimeout(typing);
    typing = setTimeout(() => ask(), typingStill ? TYPING_PAUSE_MS : 0);
    for (const twin of all(`[data-answer="${field.dataset.answer}"]`)) {
      if (twin !== field) setField(twin, plan.answers[field.dataset.answer]);
    }
  }

  function listen() {
    for (const form of forms) {
      form.addEventListener("input", (event) => {
        const field = event.target.closest("[data-answer]");
        if (field) changed(field, event.target.tagName === "INPUT");
      });
      form.addEventListener("change", (event) => {
        const field = event.target.closest("[data-answer]");
        if (field) changed(field, false);
      });
      form.addEventListener("submit", (event) => {
        event.preventDefault();
        quietField = null;
        submitted = true;
        ask();
      });
      for (const kind of ["focusin", "pointerdown"]) form.addEventListener(kind, start, { once: true });
      form.addEventListener("click", (event) => {
        const button = event.target.closest("button");
        if (!button) return;
        if (button.dataset.forget) {
          remember(null);
          delete plan.fromLink;
          delete plan.answers[button.dataset.forget];
          quietField = null;
          save();
          controls(button.closest("[data-answer]"))[0]?.focus();
          ask();
        } else if (button.dataset.addRow) {
          const field = button.closest("[data-answer]");
          const row = addRow(field);
          putChoices(); // the pattern of a row does not know the names added on this page
          changed(field, true); // so that a reply on its way does not take the empty row away again
          controls(row)[0].focus();
        } else if (button.dataset.removeRow) {
          const field = button.closest("[data-answer]");
          button.closest(".row").remove();
          numberRows(field);
          changed(field, false);
          field.querySelector("[data-add-row]").focus();
        }
      });
    }
    document.addEventListener("click", (event) => {
      const link = event.target.closest("a[data-goto]");
      if (!link) return;
      event.preventDefault();
      const target = document.getElementById(link.getAttribute("href").slice(1));
      if (!target) return;
      for (let fold = target.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
      target.focus();
      target.scrollIntoView({ block: "center" });
    });
    document.getElementById("plan-example")?.addEventListener("change", (event) => {
      remember(null);
      plan.example = event.target.value;
      save();
      ask({ forms: true });
    });
    document.getElementById("plan-units")?.addEventListener("change", (event) => {
      ask({ forms: true, request: { to: event.target.value } });
    });
    document.querySelector("[data-copy-link]")?.addEventListener("click", async () => {
      const link = location.href.split("#")[0] + (document.documentElement.dataset.fragment ? `#${document.documentElement.dataset.fragment}` : "");
      try {
        await navigator.clipboard.writeText(link);
        say("The link is copied. Whoever opens it sees your answers; they travel in the link itself.");
      } catch {
        say(`Copy this link: ${link}`);
      }
    });
    document.querySelector("[data-save-file]")?.addEventListener("click", () => ask({ request: { save: true } }));
    document.getElementById("plan-file")?.addEventListener("change", async (event) => {
      await openFile(event.target.files[0]);
      event.target.value = "";
    });
    for (const block of all(".calculator")) {
      block.addEventListener("dragover", (event) => event.preventDefault());
      block.addEventListener("drop", (event) => {
        if (!event.dataTransfer.files.length) return;
        event.preventDefault();
        openFile(event.dataTransfer.files[0]);
      });
    }
    document.querySelector("[data-clear]")?.addEventListener("click", () => {
      if (Object.keys(plan.answers).length) save(EARLIER, held());
      remember(null);
      plan.answers = {};
      save();
      offerEarlier("Your answers are cleared.");
      ask({ forms: true });
    });
    document.querySelector("[data-undo]")?.addEventListener("click", undo);
    addEventListener("storage", (event) => {
      if (event.key === STORE && merge(load(STORE))) {
        say("Another tab changed this plan; its answers are taken over.");
        ask({ forms: true });
      }
    });
    addEventListener("hashchange", () => {
      if (location.hash.includes("=")) openLink();
    });
    for (const toolbar of all(".toolbar")) toolbar.addEventListener("submit", (event) => event.preventDefault());
  }

  function offerEarlier(words) {
    for (const line of all("[data-said]")) {
      const back = document.createElement("button");
      back.type = "button";
      back.className = "quiet";
      back.textContent = "Bring my earlier answers back";
      back.addEventListener("click", () => {
        const earlier = load(EARLIER);
        if (!earlier) return;
        takeFrom(earlier);
        delete plan.fromLink;
        save();
        say("Your earlier answers are back.");
        ask({ forms: true });
      });
      line.replaceChildren(`${words} `, back);
    }
  }

  function openLink() {
    const saved = load(STORE);
    if (saved) synced = structuredClone(saved.answers); // what was saved before is known, not another tab's change
    if (saved && Object.keys(saved.answers).length) {
      save(EARLIER, saved);
      offerEarlier("These answers came with the link.");
    }
    plan.fromLink = true;
    ask({ forms: true, request: { link: location.hash } });
  }

  /* ---- framed in another site's page ---- */

  const FRAME_MESSAGE = "composting-yard-height";

  function frame() {
    if (new URLSearchParams(location.search).has("bare")) {
      document.documentElement.classList.add("bare");
      // only a height goes to the page around, never an answer
      const tellHeight = () =>
        parent.postMessage({ kind: FRAME_MESSAGE, height: Math.ceil(document.body.getBoundingClientRect().height) }, "*");
      if (parent !== window) new ResizeObserver(tellHeight).observe(document.body);
    }
    const frames = all("iframe[data-yard-frame]");
    if (!frames.length) return;
    addEventListener("message", (event) => {
      const from = frames.find((each) => each.contentWindow === event.source);
      const height = event.data?.kind === FRAME_MESSAGE ? event.data.height : null;
      if (from && Number.isFinite(height) && height > 0 && height < 20_000) from.height = String(height);
    });
  }

  /* ---- beginning ---- */

  frame();

  if (!forms.length && !all("[data-part]").length) return;
  for (const form of forms) for (const field of all("[data-answer]", form)) field.dataset.owner = form.dataset.form;
  listen();
  if (location.hash.includes("=")) {
    openLink();
  } else {
    const saved = load(STORE);
    if (saved) {
      synced = structuredClone(saved.answers);
      const fresh = saved.example !== plan.example || saved.system !== plan.system;
      takeFrom(saved);
      if (!fresh) putOwn();
      if (fresh || Object.keys(saved.answers).length) ask({ forms: fresh });
    }
  }
  if (!worker) tell("The figures are those of the example yard until the calculator in this page has started.");
  if (forms.length || document.querySelector(".calculator")) {
    const idle = self.requestIdleCallback || ((call) => setTimeout(call, 600));
    if (document.readyState === "complete") idle(start);
    else addEventListener("load", () => idle(start), { once: true });
  }
})();
