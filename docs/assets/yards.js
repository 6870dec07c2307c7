/* The pages on which yards are begun, kept, copied and compared. It computes nothing. */
"use strict";

(() => {
  const calculators = window.yardCalculators;
  const device = window.yardDevice;
  const { rawOf } = window.yardFields;
  const { build, fill, say, tell } = calculators;
  const MOST_SIDE_BY_SIDE = 6;
  const TYPING_PAUSE_MS = 250;
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const base = document.querySelector("[data-base]")?.dataset.base ?? "";
  const NO_ROOM = "This browser does not let the page keep a yard: its storage is full or forbidden.";

  /* The reply, or nothing: why is then told to the reader. */
  async function asked(what) {
    try {
      const found = await calculators.request({ base, ...what });
      if (!found.refused && !found.fault) return found;
      say(found.refused || `This could not be computed (${found.fault}).`);
    } catch (error) {
      say(error.message);
    }
    return null;
  }

  function keep(yard) {
    const id = device.add(yard);
    if (id) device.choose(id);
    else say(NO_ROOM);
    return id;
  }

  /* The name, or with a number where a yard on this device has it already. */
  function freeName(name, numbered) {
    const taken = new Set(device.list().map(({ yard }) => device.label(yard)));
    if (!taken.has(name)) return name;
    let number = 2;
    while (taken.has(numbered(number))) number += 1;
    return numbered(number);
  }

  function goOn(yard) {
    if (keep(yard)) location.href = `${base}yard.html`;
  }

  /* ---- the yards on this device ---- */

  function yardsPage(place) {
    const pattern = document.querySelector(".calculator template");
    const ticked = new Set();

    function row({ id, yard }) {
      const made = pattern.content.cloneNode(true);
      const count = Object.keys(yard.answers).length;
      const name = device.label(yard);
      made.querySelector("[data-yard-name]").textContent = name;
      const current = id === device.current() ? "open now · " : "";
      made.querySelector("[data-yard-about]").textContent =
        `${current}${count === 1 ? "one answer" : `${count} answers`} of its own · changed ${new Date(yard.changed ?? yard.made).toLocaleString()}`;
      const tick = made.querySelector("[data-compare]");
      tick.checked = ticked.has(id);
      tick.addEventListener("change", () => {
        if (tick.checked) ticked.add(id);
        else ticked.delete(id);
        compare();
      });
      for (const button of all("[data-yard-do]", made)) {
        button.setAttribute("aria-label", `${button.textContent}: ${name}`);
        button.addEventListener("click", () => deeds[button.dataset.yardDo](id, yard, name));
      }
      return made;
    }

    function list() {
      const kept = device.list();
      const focused = document.activeElement?.getAttribute?.("aria-label");
      place.replaceChildren(...kept.map(row));
      document.querySelector("[data-no-yards]").hidden = kept.length > 0;
      if (focused) all("[data-yard-do]").find((each) => each.getAttribute("aria-label") === focused)?.focus();
    }

    const deeds = {
      open(id) {
        device.choose(id);
        location.href = `${base}yard.html`;
      },
      copy(id, yard, name) {
        const first = name.replace(/, variant \d+$/, "");
        if (!keep({ ...yard, name: freeName(name, (number) => `${first}, variant ${number}`) })) return;
        say(`Copied. The copy is now the open yard; what you change there leaves ‘${name}’ as it is.`);
        list();
      },
      rename(id, yard, name) {
        const asked = prompt("Name of this yard", name);
        if (asked === null) return;
        if (!device.keep(id, { ...device.load(id), name: asked })) say(NO_ROOM);
        list();
      },
      async save(id) {
        const found = await asked({ ...device.load(id), parts: [], forms: [], take: { kind: "file" } });
        if (!found) return;
        calculators.download(found.taken);
        say(`Saved as ${found.taken.name}.`);
      },
      remove(id, yard, name) {
        device.remove(id);
        ticked.delete(id);
        const back = document.createElement("button");
        back.type = "button";
        back.className = "quiet";
        back.textContent = "Bring it back";
        back.addEventListener("click", () => {
          if (!device.keep(id, yard)) return say(NO_ROOM);
          say(`‘${name}’ is back.`);
          list();
        });
        say(`‘${name}’ is removed from this device. `, back);
        back.focus();
        list();
        compare();
      },
    };

    async function compare() {
      const chosen = [...ticked].map(device.load).filter(Boolean);
      if (chosen.length > MOST_SIDE_BY_SIDE) say(`The first ${MOST_SIDE_BY_SIDE} of those ticked stand side by side.`);
      if (chosen.length < 2) return;
      const others = chosen.map((yard) => ({ ...yard, name: device.label(yard) }));
      const found = await asked({ ...others[0], parts: [], forms: [], others });
      if (found) fill(document.querySelector("[data-part='compare']"), found.parts.compare);
    }

    for (const button of all("[data-new-yard]")) {
      button.addEventListener("click", () => goOn({ ...device.blank(), example: button.dataset.newYard, title: button.dataset.title }));
    }

    async function openFile(file) {
      if (!file) return;
      const found = await asked({ ...device.blank(), parts: [], forms: [], file: await file.text() });
      if (!found) return;
      if (!keep({ ...found.plan, title: found.title, fragment: found.fragment })) return;
      const problems = document.querySelector("[data-problems]");
      problems.replaceChildren(...(found.problems ? [build(found.problems)] : []));
      say(found.problems ? "The file is kept as a yard of its own; what could not be used is listed below." : "The file is kept as a yard of its own.");
      list();
    }

    document.getElementById("plan-file").addEventListener("change", async (event) => {
      await openFile(event.target.files[0]);
      event.target.value = "";
    });
    const block = place.closest(".calculator");
    block.addEventListener("dragover", (event) => event.preventDefault());
    block.addEventListener("drop", (event) => {
      if (!event.dataTransfer.files.length) return;
      event.preventDefault();
      openFile(event.dataTransfer.files[0]);
    });
    addEventListener("storage", (event) => {
      if (device.idOf(event.key) !== null) list();
    });
    addEventListener("pageshow", list);
    list();
  }

  /* ---- a first plan from a few questions ---- */

  function startPage(form) {
    const go = document.querySelector("[data-start-keep]");
    let first = null;
    let typing = 0;
    let last = 0;

    async function show(done) {
      const number = (last += 1);
      const raw = Object.fromEntries(all("[data-answer]", form).map((field) => [field.dataset.answer, rawOf(field)]));
      const found = await asked({ start: raw, short: form.dataset.start === "short" });
      if (!found || number !== last) return;
      const wrong = new Set(found.wrong);
      for (const field of all("[data-answer]", form)) {
        for (const control of all("input, select", field)) {
          if (wrong.has(field.dataset.answer)) control.setAttribute("aria-invalid", "true");
          else control.removeAttribute("aria-invalid");
        }
      }
      document.querySelector("[data-start-problems]").replaceChildren(...(found.problems && done ? [build(found.problems)] : []));
      if (found.problems && done) document.querySelector(".problems").focus();
      first = found.plan ?? null;
      go.disabled = !first;
      if (found.result) fill(document.querySelector("[data-start-result]"), found.result);
      if (found.result) tell("Computed in this page from your answers; nothing was sent anywhere.");
    }

    form.addEventListener("input", () => {
      clearTimeout(typing);
      typing = setTimeout(show, TYPING_PAUSE_MS);
    });
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      clearTimeout(typing);
      show(true);
    });
    go.addEventListener("click", () => {
      const name = freeName("First rough plan", (number) => `First rough plan ${number}`);
      goOn({ ...device.blank(), ...first, name });
    });
    show();
  }

  const yards = document.querySelector("[data-yards]");
  const start = document.querySelector("form[data-start]");
  if (yards) yardsPage(yards);
  if (start) startPage(start);
  if (yards || start) {
    document.addEventListener("click", (event) => {
      const link = event.target.closest("a[data-goto]");
      if (!link) return;
      event.preventDefault();
      document.getElementById(link.getAttribute("href").slice(1))?.focus();
    });
  }
  if (yards) (self.requestIdleCallback || setTimeout)(calculators.start);
  if (yards) calculators.watch((state) => state === "ready" && tell("Yards are kept in this browser on this device, and nowhere else."));
})();
