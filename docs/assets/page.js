/* The pages with a calculator: carries what the reader enters to the calculators and shows what they return, and keeps it.
   It computes nothing. The page is complete without it: every form and figure was written for the example yard when the site
   was built. */
"use strict";

(() => {
  const calculators = window.yardCalculators;
  const device = window.yardDevice;
  const { controls, rawOf, setField, addRow, numberRows, putChoices, textOf } = window.yardFields;
  const { build, fill, say, tell } = calculators;
  const TYPING_PAUSE_MS = 250;
  const PAPERS_MS = 150;
  const ADDRESS_MS = 400;
  const UNDO_PAUSE_MS = 4_000;
  const UNDO_STEPS = 100;
  const LIBRARIES = { qr: ["segno"], workbook: ["xlsxwriter"] }; // what is fetched only for what is taken away
  const FRAME_MESSAGE = "composting-yard-height";

  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const byId = (id) => document.getElementById(id);
  const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);
  const forms = all("form[data-form]");
  const framed = new URLSearchParams(location.search).has("bare");

  const plan = device.blank();
  const FIELDS = Object.keys(plan); // what makes a plan; a kept yard has more about it
  let yard = null; // the kept yard that this is; none before anything was answered
  let synced = null; // that yard as this tab last read or wrote it
  let asking = false;
  let papersDue = 0;
  let addressDue = 0;
  const waiting = [];
  let quietField = null;
  let submitted = false;
  let choices = {};
  let figures = null; // the key figures shown last; none before the first reply
  let before = {};
  let asked = null;
  let shown = {};
  let leftOut = []; // answers too long for a link
  const past = [];
  const seen = new Map();

  /* ---- the device ---- */

  const held = () => structuredClone(Object.fromEntries(FIELDS.map((name) => [name, plan[name]])));
  const take = (from) => Object.assign(plan, structuredClone(Object.fromEntries(FIELDS.map((name) => [name, from[name]]))));

  function save() {
    if (framed) return; // a frame in another page leaves this device's yards alone
    if (yard) merge(device.load(yard));
    const record = { ...(synced || {}), ...held(), ...shown };
    const kept = yard ? device.keep(yard, record) : (yard = device.add(record));
    if (kept) {
      synced = device.load(yard);
      device.choose(yard);
      listYards();
    } else {
      say("This browser does not let the page keep your answers: its storage is full or forbidden. Save them to a file, or copy a link.");
    }
  }

  /* Another tab may have written since this one last read: what only the other changed is taken over, what was changed
     here stays, so neither loses the other's answers. Gives whether anything was taken over. */
  function merge(theirs) {
    if (!theirs || !synced) return false;
    if (theirs.system !== plan.system) {
      // every figure is written in other units: all of it, or nothing
      if (!same(held(), Object.fromEntries(FIELDS.map((name) => [name, synced[name]])))) return false;
      take(theirs);
      synced = theirs;
      return true;
    }
    let taken = false;
    const other = (mine, now, before, name) => {
      if (same(now[name], before[name]) || !same(mine[name], before[name])) return;
      if (name in now) mine[name] = now[name];
      else delete mine[name];
      taken = true;
    };
    for (const name of FIELDS) if (name !== "answers") other(plan, theirs, synced, name);
    for (const name of new Set([...Object.keys(theirs.answers), ...Object.keys(synced.answers)])) {
      other(plan.answers, theirs.answers, synced.answers, name);
    }
    synced = theirs;
    return taken;
  }

  function openYard(id) {
    yard = id;
    synced = device.load(id);
    const other = synced.example !== plan.example || synced.system !== plan.system;
    take(synced);
    shown = { title: synced.title, fragment: synced.fragment };
    device.choose(id);
    listYards();
    return other;
  }

  function listYards() {
    const select = byId("plan-yard");
    if (!select) return;
    const kept = device.list().map(({ id, yard: each }) => new Option(device.label(each), id, false, id === yard));
    if (!yard) kept.unshift(new Option(framed ? "not kept in a frame" : "not kept yet", "", false, true));
    select.replaceChildren(...kept);
    byId("plan-name").value = plan.name;
    byId("plan-money").value = plan.money;
  }

  /* ---- steps back ---- */

  function remember(field) {
    const now = Date.now();
    const sameField = field && past.length && past.at(-1).field === field && now - past.at(-1).at < UNDO_PAUSE_MS;
    if (sameField) past.at(-1).at = now;
    else past.push({ field, at: now, plan: held() });
    if (past.length > UNDO_STEPS) past.shift();
    showUndo();
  }

  function showUndo() {
    for (const button of all("[data-undo]")) button.disabled = !past.length;
  }

  function undo() {
    const step = past.pop();
    if (!step) return;
    take(step.plan);
    quietField = null;
    save();
    say("The last change is undone.");
    ask({ forms: true });
    showUndo();
  }

  function forgetSteps() {
    past.length = 0;
    showUndo();
  }

  /* ---- asking ---- */

  /* `more.request` is asked beside the plan as it stands, `more.then` is called with the reply, `more.forms` renews forms,
     `more.papers` asks for nothing but what bears the results out. */
  function ask(more = {}) {
    clearTimeout(papersDue);
    // while Python works, newer answers take the place of a question that waits, but not of one that opens something
    const last = waiting.at(-1);
    if (last && !last.request && !more.request) waiting[waiting.length - 1] = { forms: last.forms || more.forms };
    else waiting.push(more);
    flush();
  }

  function requestNow(more) {
    if (!more.papers && !same(asked, held())) {
      asked = held();
      before = figures; // what changed is told against what stood here before this plan, however often it is asked
    }
    const kinds = (part) => (part.startsWith("papers:") ? more.papers : !more.papers && (more.forms || !part.startsWith("form:")));
    const parts = new Set(all("[data-part]").map((each) => each.dataset.part).filter(kinds));
    return {
      ...plan,
      parts: [...parts],
      forms: more.papers ? [] : forms.map((form) => form.dataset.form),
      base: document.querySelector("[data-base]")?.dataset.base ?? "",
      before,
      ...more.request,
    };
  }

  async function flush() {
    if (!waiting.length || asking) return;
    const more = waiting.shift();
    asking = true;
    try {
      received(await calculators.request(requestNow(more)), more);
    } catch {
      // the calculator did not start, which the page has been told; the answers stand as they are
    }
    asking = false;
    flush();
  }

  function received(found, more) {
    if (found.refused) {
      say(found.refused);
      forgetSteps();
    } else if (found.fault) {
      tell(`This could not be computed (${found.fault}). Your answers are kept.`);
    } else if (more.papers) {
      showParts(found.parts);
    } else {
      if (found.plan) take(found.plan);
      show(found);
      // the figures first, their working once the page rests
      if (document.querySelector('[data-part^="papers:"]')) papersDue = setTimeout(ask, PAPERS_MS, { papers: true });
      more.then?.(found);
      if (yard) save(); // with the title and the link that go with it now
    }
  }

  /* Something made from the plan as it stands: a file, a link, a drawing. */
  async function takeAway(kind, more = {}) {
    say("One moment …");
    try {
      const found = await calculators.request({ ...plan, parts: [], forms: [], take: { kind, ...more } }, LIBRARIES[kind] || []);
      say(found.refused || found.fault || "");
      return found.taken || null;
    } catch (error) {
      say(error.message);
      return null;
    }
  }

  /* ---- showing a reply ---- */

  function putOwn() {
    for (const form of forms) {
      for (const field of all("[data-answer]", form)) {
        field.dataset.owner = form.dataset.form;
        const name = field.dataset.answer;
        if (name in plan.answers) setField(field, plan.answers[name]);
      }
    }
  }

  function showParts(parts) {
    for (const part of all("[data-part]")) {
      const nodes = parts[part.dataset.part];
      if (nodes === undefined) continue;
      if (quietField && part.dataset.part === `error:${quietField}`) continue;
      const text = JSON.stringify(nodes);
      if (seen.get(part) === text) continue;
      seen.set(part, text);
      fill(part, nodes);
    }
  }

  function showFields(found) {
    choices = found.choices;
    putChoices(choices);
    putOwn();
    for (const form of forms) {
      for (const field of all("[data-answer]", form)) {
        const name = field.dataset.answer;
        if (!(name in plan.answers) && name in found.values) setField(field, found.values[name]);
        field.classList.toggle("field-own", name in plan.answers && !plan.guessed.includes(name));
      }
    }
    const wrong = new Set(found.wrong);
    for (const control of forms.flatMap((form) => controls(form))) {
      const field = control.closest("[data-answer]").dataset.answer;
      if (wrong.has(control.name) && field !== quietField) control.setAttribute("aria-invalid", "true");
      else control.removeAttribute("aria-invalid");
    }
  }

  function showState(found, onlyQuiet) {
    const count = Object.keys(plan.answers).length;
    tell(
      count
        ? `Computed in this page from ${count === 1 ? "one answer" : `${count} answers`} of your own; nothing was sent anywhere.`
        : `Computed in this page for ${found.title}. Change any answer; nothing is sent anywhere.`,
    );
    const strip = document.querySelector(".answer-strip") || document.querySelector(".yard-step .sentence");
    const words = found.wrong.length && !onlyQuiet ? "An answer needs attention. " : "";
    for (const line of all("[data-spoken]")) {
      const said = words + (strip ? strip.textContent : "");
      if (line.textContent !== said) line.textContent = said;
    }
    if (count || location.hash.includes("=")) {
      const hash = found.fragment ? `#${found.fragment}` : location.pathname + location.search;
      clearTimeout(addressDue);
      addressDue = setTimeout(() => history.replaceState(history.state, "", hash), ADDRESS_MS); // costs as much as all the rest
    }
  }

  function show(found) {
    figures = found.figures;
    shown = { title: found.title, fragment: found.fragment };
    leftOut = found.notInLink;
    const active = document.activeElement;
    showParts(found.parts);
    showFields(found);
    const onlyQuiet = quietField && found.wrong.every((name) => name.split(".")[0] === quietField);
    for (const place of all("[data-problems]")) {
      place.replaceChildren(...(found.problems && !onlyQuiet ? [build(found.problems)] : []));
    }
    if (submitted && !waiting.length) {
      submitted = false;
      document.querySelector(".problems")?.focus(); // after Enter the summary of what is wrong takes the focus
    }
    if (byId("plan-example")) byId("plan-example").value = found.example;
    if (byId("plan-units")) byId("plan-units").value = found.system;
    for (const control of ["plan-name", "plan-money"].map(byId)) {
      if (control && control !== active) control.value = control.id === "plan-name" ? plan.name : plan.money;
    }
    showState(found, onlyQuiet);
    if (active && !active.isConnected && active.id) byId(active.id)?.focus();
  }

  /* ---- what the reader does in a form ---- */

  let typing = 0;

  function changed(field, typingStill) {
    const name = field.dataset.answer;
    remember(name);
    plan.answers[name] = rawOf(field);
    plan.guessed = plan.guessed.filter((each) => each !== name);
    quietField = typingStill ? name : null;
    save();
    clearTimeout(typing);
    typing = setTimeout(() => ask(), typingStill ? TYPING_PAUSE_MS : 0);
    for (const twin of all(`[data-answer="${name}"]`)) {
      if (twin !== field) setField(twin, plan.answers[name]);
    }
  }

  function takeBack(button) {
    const field = button.closest("[data-answer]");
    const name = button.dataset.forget;
    remember(null);
    delete plan.answers[name];
    plan.guessed = plan.guessed.filter((each) => each !== name);
    quietField = null;
    save();
    controls(field)[0]?.focus();
    ask();
  }

  function listenToForm(form) {
    form.addEventListener("input", (event) => {
      if (event.target.type === "file") return;
      const field = event.target.closest("[data-answer]");
      if (field) changed(field, event.target.tagName !== "SELECT");
    });
    form.addEventListener("change", async (event) => {
      if (event.target.type === "file") {
        await openLog(event.target.files[0], event.target);
        event.target.value = "";
        return;
      }
      const field = event.target.closest("[data-answer]");
      if (field) changed(field, false);
    });
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      quietField = null;
      submitted = true;
      ask();
    });
    for (const kind of ["focusin", "pointerdown"]) form.addEventListener(kind, calculators.start, { once: true });
    form.addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (!button) return;
      if (button.dataset.forget) {
        takeBack(button);
      } else if (button.dataset.addRow) {
        const field = button.closest("[data-answer]");
        const row = addRow(field);
        putChoices(choices); // the pattern of a row does not know the names added on this page
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

  /* A file of readings, into the field of its log. Python says what is wrong with it; only what no field could hold stops here. */
  async function openLog(file, entry) {
    if (!file) return;
    if (file.size > entry.dataset.mostBytes) {
      say(`${file.name} is larger than any log that can be read here. Split it by batch, or keep one line an hour.`);
      return;
    }
    const field = entry.closest("[data-answer]");
    setField(field, await textOf(file));
    changed(field, false);
    say(`${file.name} is open in ‘${field.querySelector("label").textContent}’.`);
  }

  function goTo(event) {
    const link = event.target.closest("a[data-goto]");
    if (!link) return;
    event.preventDefault();
    const target = byId(link.getAttribute("href").slice(1));
    if (!target) return;
    for (let fold = target.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    target.focus();
    target.scrollIntoView({ block: "center" });
  }

  /* ---- the tools ---- */

  /* A yard of its own, so that what was there before stays as it is. */
  function leaveYard() {
    yard = null;
    synced = null;
    shown = {};
    quietField = null;
    forgetSteps();
  }

  async function openFile(file) {
    if (!file) return;
    const text = await file.text();
    ask({
      forms: true,
      request: { file: text },
      then: (found) => {
        leaveYard();
        shown = { title: found.title, fragment: found.fragment };
        save();
        say(found.problems ? "The file is open as a yard of its own; what could not be used is listed above." : "The file is open as a yard of its own.");
      },
    });
  }

  async function copyLink(packed) {
    let fragment = shown.fragment ?? "";
    const left = packed ? [] : leftOut;
    if (packed) {
      const taken = await takeAway("packed");
      if (!taken) return;
      fragment = taken.fragment;
    }
    const link = location.href.split("#")[0] + (fragment ? `#${fragment}` : "");
    try {
      await navigator.clipboard.writeText(link);
      const without = left.length ? ` Too long for a link and left out: ${left.join(", ")}. Save the plan to a file to send it.` : "";
      say(`The link is copied. Whoever opens it sees your answers; they travel in the link itself.${without}`);
    } catch {
      say(`Copy this link: ${link}`);
    }
  }

  /* What asks for more than the plan: where this page is, and the fields of the tools. */
  const asWritten = () => ({
    page: location.href.split("#")[0], first_day: byId("plan-first-day").value, heaps: byId("plan-heaps").value,
  });

  /* Something to look at and print, below the tools; asked for again, it goes. */
  async function showHere(kind) {
    const place = document.querySelector("[data-shown-place]");
    const there = place.dataset.kind === kind && place.children.length;
    place.replaceChildren();
    if (there) return;
    const taken = await takeAway(kind, asWritten());
    if (!taken) return;
    place.dataset.kind = kind;
    fill(place, [taken.tree]);
    place.focus();
  }

  async function takeFile(kind, more) {
    const taken = await takeAway(kind, more);
    if (!taken) return;
    calculators.download(taken);
    say(`Saved as ${taken.name}.`);
  }

  function listenToTools() {
    const on = (id, kind, call) => byId(id)?.addEventListener(kind, call);
    const click = (selector, call) => all(selector).forEach((each) => each.addEventListener("click", () => call(each)));
    on("plan-yard", "change", (event) => {
      if (!event.target.value) return;
      openYard(event.target.value);
      quietField = null;
      forgetSteps();
      ask({ forms: true });
    });
    on("plan-example", "change", (event) => {
      remember(null);
      plan.example = event.target.value;
      save();
      ask({ forms: true });
    });
    on("plan-units", "change", (event) => {
      device.preferUnits(event.target.value);
      ask({ forms: true, request: { to: event.target.value } });
    });
    for (const [id, name] of [["plan-name", "name"], ["plan-money", "money"]]) {
      on(id, "input", (event) => {
        remember(name);
        plan[name] = event.target.value;
        clearTimeout(typing);
        typing = setTimeout(() => ask({ forms: name === "money" }), TYPING_PAUSE_MS); // labels name the money
        save();
      });
    }
    on("plan-file", "change", async (event) => {
      await openFile(event.target.files[0]);
      event.target.value = "";
    });
    click("[data-undo]", undo);
    click("[data-copy-link]", (button) => copyLink(button.dataset.copyLink === "packed"));
    click("[data-save-file]", () => takeFile("file"));
    click("[data-show]", (button) => showHere(button.dataset.show));
    click("[data-take]", (button) => takeFile(button.dataset.take, asWritten()));
    click("[data-clear]", () => {
      remember(null);
      plan.answers = {};
      plan.guessed = [];
      save();
      say("Your answers are cleared. Undo brings them back.");
      ask({ forms: true });
    });
    for (const block of all(".calculator")) {
      block.addEventListener("dragover", (event) => event.preventDefault());
      block.addEventListener("drop", (event) => {
        if (!event.dataTransfer.files.length) return;
        event.preventDefault();
        const entry = event.target.closest("[data-kind=log]")?.querySelector("[data-open-log]");
        if (entry) openLog(event.dataTransfer.files[0], entry);
        else openFile(event.dataTransfer.files[0]);
      });
    }
    for (const toolbar of all(".toolbar")) toolbar.addEventListener("submit", (event) => event.preventDefault());
  }

  function listenToOthers() {
    const changedElsewhere = () => {
      if (!yard) return;
      const theirs = device.load(yard);
      if (!theirs) {
        leaveYard();
        listYards();
        say("Another tab removed this yard. Change any answer to keep it again.");
      } else if (merge(theirs)) {
        say("Another tab changed this plan; its answers are taken over.");
        ask({ forms: true });
      }
    };
    addEventListener("storage", (event) => {
      const id = device.idOf(event.key);
      if (id === null) return;
      if (id === yard) {
        changedElsewhere();
      } else if (!yard && !framed && event.newValue && !location.hash.includes("=")) {
        // nothing was answered here yet: two tabs of one reader work on one yard
        openYard(id);
        ask({ forms: true });
        say("Another tab began a yard; it stands here too.");
      } else {
        listYards();
      }
    });
    addEventListener("pageshow", (event) => {
      if (event.persisted) changedElsewhere();
    });
    addEventListener("hashchange", () => {
      if (location.hash.includes("=")) openLink();
    });
  }

  function openLink() {
    // the address of a kept yard is that yard, with all that was typed; any other is a plan of its own
    const fragment = location.hash.slice(1);
    const kept = framed ? [] : device.list().filter((each) => each.yard.fragment === fragment);
    const own = kept.find((each) => each.id === device.current()) ?? kept[0];
    if (own) {
      openYard(own.id);
      ask({ forms: true });
      return;
    }
    leaveYard();
    listYards();
    ask({
      forms: true,
      request: { link: location.hash },
      then: () => {
        listYards();
        if (!framed) say("These answers came with the link. Change one, and they are kept as a yard of their own.");
      },
    });
  }

  /* ---- framed in another site's page ---- */

  function frame() {
    if (framed) {
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

  if (document.querySelector("[data-own-script]")) return; // that page has its own
  if (!forms.length && !all("[data-part]").length) return;
  for (const form of forms) {
    for (const field of all("[data-answer]", form)) field.dataset.owner = form.dataset.form;
    listenToForm(form);
  }
  document.addEventListener("click", goTo);
  listenToTools();
  listenToOthers();
  calculators.watch((state) => {
    if (state === "idle") tell("The figures are those of the example yard until the calculator in this page has started.");
    if (state === "ready" && !asking && !waiting.length && !figures) ask();
  });
  const current = framed ? null : device.current();
  if (location.hash.includes("=")) {
    openLink();
  } else if (current) {
    const other = openYard(current);
    if (!other) putOwn();
    if (other || Object.keys(plan.answers).length || plan.money) ask({ forms: other });
  } else {
    listYards();
    if (plan.system !== "metric") ask({ forms: true });
  }
  if (forms.length || document.querySelector(".calculator")) {
    const idle = self.requestIdleCallback || ((call) => setTimeout(call, 600));
    if (document.readyState === "complete") idle(calculators.start);
    else addEventListener("load", () => idle(calculators.start), { once: true });
  }

  window.yardPage = { held }; // other scripts of the page may ask for its plan as it stands
})();
