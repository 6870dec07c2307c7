/* Carries guesses and the trainer's form to the calculators, and shows what they return. It computes nothing.
   The page is complete without it: every question was written when the site was built. */
"use strict";

(() => {
  const STORE = "composting-yard-workshop:";
  const TYPING_PAUSE_MS = 300;

  const all = (selector, within) => [...within.querySelectorAll(selector)];
  const blocks = all("[data-workshop]", document);
  const makers = all("[data-workshop-compose]", document);
  if (!blocks.length && !makers.length) return;

  /* ---- what both kinds of block share ---- */

  const linkHolds = () => location.hash.includes("ask=");

  /* the unit system that the reader chose elsewhere in the handbook */
  const chosenSystem = () => window.yardDevice.blank().system;

  function say(block, words) {
    for (const line of all("[data-workshop-said]", block)) line.textContent = words;
  }

  /* Only the answer to the latest question of a block is shown: while Python works, the reader may go on. */
  const latest = new WeakMap();

  async function ask(block, request) {
    const mark = {};
    latest.set(block, mark);
    const door = window.yardCalculators;
    if (!door) throw new Error("The calculators are not on this page.");
    const found = await door.request({ ...request, base: block.dataset.base || "" });
    if (found.refused || found.fault) throw new Error(found.refused || `This could not be computed (${found.fault}).`);
    return latest.get(block) === mark ? found : null;
  }

  function fill(place, nodes) {
    place.replaceChildren(...nodes.map((node) => window.yardCalculators.build(node)));
  }

  const part = (block, name) => block.querySelector(`[data-workshop-part="${name}"]`);

  /* ---- guess, then look ---- */

  function participant(block) {
    let state = fresh();
    const questions = () => all(".workshop-question", block);

    function fresh() {
      return { guesses: {}, shown: [], system: chosenSystem() };
    }

    function load() {
      try {
        const held = JSON.parse(sessionStorage.getItem(STORE + block.dataset.workshop) || "null");
        state = held && held.guesses && Array.isArray(held.shown) ? held : fresh();
      } catch {
        state = fresh();
      }
    }

    function save() {
      try {
        sessionStorage.setItem(STORE + block.dataset.workshop, JSON.stringify(state));
      } catch {
        // without it, guesses last as long as the page
      }
    }

    /* Shows the questions as they stand; ``at`` is the place of the question where something was done. */
    async function show(at = null) {
      say(block, at === null ? "Asking the calculators …" : "The calculators are at work …");
      let found;
      try {
        found = await ask(block, {
          workshop: { link: block.dataset.workshop },
          state: { guesses: state.guesses, shown: state.shown, at },
          parts: ["workshop-run"],
          system: state.system,
        });
      } catch (error) {
        say(block, `${error.message} Your guesses are kept.`);
        return;
      }
      if (!found) return;
      const typed = all("[data-guess]", block).map((field) => [field.dataset.guess, field.value]);
      fill(part(block, "workshop-run"), found.parts["workshop-run"]);
      for (const [place, words] of typed) {
        const field = block.querySelector(`[data-guess="${place}"]`);
        if (field && at !== null && place !== String(at)) field.value = words; // what is typed elsewhere stays
      }
      for (const place of all("[data-workshop-problems]", block)) fill(place, found.problems ? [found.problems] : []);
      say(block, found.said);
      if (at === null) return;
      const next = questions()[at]?.querySelector(".workshop-answer, [data-show], [data-guess]");
      if (next) next.focus();
    }

    function commit(place) {
      const field = block.querySelector(`[data-guess="${place}"]`);
      if (!field) return;
      state.guesses[place] = field.value;
      save();
      show(place);
    }

    function open(fragment) {
      block.dataset.workshop = fragment;
      load();
      show();
    }

    block.addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (!button) return;
      if ("commit" in button.dataset) {
        commit(button.dataset.commit);
      } else if ("show" in button.dataset) {
        state.shown.push(button.dataset.show);
        save();
        show(button.dataset.show);
      } else if ("clearGuesses" in button.dataset) {
        state = fresh();
        save();
        for (const field of all("[data-guess]", block)) field.value = "";
        show("0");
      }
    });
    block.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || event.isComposing || !event.target.matches("[data-guess]")) return;
      event.preventDefault();
      commit(event.target.dataset.guess);
    });

    load();
    return { open, show, started: () => Object.keys(state.guesses).length || state.system !== "metric" };
  }

  /* ---- the trainer's form ---- */

  function maker(block) {
    const form = () => block.querySelector("[data-compose-form]");
    const sheets = part(block, "workshop-sheets");
    let pause = 0;

    const fields = (of) => Object.fromEntries(new FormData(of));
    const runPage = block.querySelector("[data-open-workshop]").getAttribute("href").split("#")[0];

    function showLink(fragment) {
      const address = new URL(fragment ? `${runPage}#${fragment}` : runPage, location.href).href;
      block.querySelector("[data-compose-link]").value = address;
      block.querySelector("[data-open-workshop]").href = address;
    }

    function markWrong(within, wrong) {
      for (const field of all("input[name], select[name]", within)) {
        if (wrong.includes(field.name)) field.setAttribute("aria-invalid", "true");
        else field.removeAttribute("aria-invalid");
      }
    }

    function showState(found) {
      showLink(found.fragment);
      markWrong(form(), found.wrong);
      fill(block.querySelector("[data-compose-problems]"), found.problems ? [found.problems] : []);
    }

    function clearSheets() {
      sheets.replaceChildren();
      for (const button of all("[data-print]", block)) button.disabled = true;
    }

    async function send(request) {
      try {
        return await ask(block, { system: chosenSystem(), ...request });
      } catch (error) {
        say(block, error.message);
        return null;
      }
    }

    async function changed() {
      clearSheets();
      const found = await send({ workshop: { form: fields(form()) }, parts: [] });
      if (!found) return;
      showState(found);
      say(block, found.said);
    }

    /* The whole form anew, from its own fields or from a link. */
    async function renew(workshop, focusLast) {
      const seed = fields(block.querySelector("[data-sheets-form]"));
      const found = await send({ workshop, parts: ["workshop-compose"] });
      if (!found) return;
      clearSheets();
      fill(part(block, "workshop-compose"), found.parts["workshop-compose"]);
      for (const field of all("[data-sheets-form] input", block)) field.value = seed[field.name];
      showState(found);
      say(block, found.said);
      if (focusLast) all(".workshop-row", block).at(-1).querySelector("select").focus();
    }

    async function makeSheets() {
      clearTimeout(pause);
      const controls = block.querySelector("[data-sheets-form]");
      say(block, "Drawing numbers and computing every copy …");
      const found = await send({
        workshop: { form: fields(form()) },
        parts: ["workshop-sheets"],
        sheets: fields(controls),
      });
      if (!found) return;
      showState(found);
      markWrong(controls, found.wrong);
      fill(sheets, found.parts["workshop-sheets"]);
      const made = Boolean(sheets.querySelector(".sheet"));
      for (const button of all("[data-print]", block)) button.disabled = !made;
      say(block, found.said);
      if (made) sheets.focus();
      else controls.querySelector("[aria-invalid]")?.focus();
    }

    function print(what) {
      document.documentElement.dataset.print = what; // the style sheet leaves everything else off the paper
      addEventListener("afterprint", () => delete document.documentElement.dataset.print, { once: true });
      window.print();
    }

    async function copyLink() {
      const field = block.querySelector("[data-compose-link]");
      try {
        await navigator.clipboard.writeText(field.value);
        say(block, "The link is copied.");
      } catch {
        field.focus();
        field.select();
        say(block, "The link is selected: copy it from the field.");
      }
    }

    /* Writes the answer picked into a field of its question, after what stands there. */
    function put(button) {
      const row = button.closest(".workshop-row");
      const picked = row.querySelector("[data-pick]").selectedOptions[0];
      const field = row.querySelector(`[name="${button.dataset.put}"]`);
      const given = button.dataset.put.startsWith("given");
      const words = given ? picked.dataset.given : picked.value;
      field.value = field.value.trim() ? `${field.value.trim()}${given ? "&" : ","}${words}` : words;
      field.focus();
      if (given) field.setSelectionRange(field.value.lastIndexOf("=") + 1, field.value.length);
      changed();
    }

    block.addEventListener("input", (event) => {
      if (!event.target.closest("[data-compose-form]")) return;
      clearTimeout(pause);
      pause = setTimeout(changed, TYPING_PAUSE_MS);
    });
    block.addEventListener("submit", (event) => {
      event.preventDefault();
      if (event.target.matches("[data-sheets-form]")) makeSheets();
      else changed();
    });
    block.addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (!button) return;
      if ("addQuestion" in button.dataset) {
        clearTimeout(pause);
        renew({ form: { ...fields(form()), more: "yes" } }, true);
      } else if ("put" in button.dataset) {
        put(button);
      } else if ("copyWorkshop" in button.dataset) {
        copyLink();
      } else if ("print" in button.dataset) {
        print(button.dataset.print);
      }
    });

    showLink("");
    return { open: (fragment) => renew({ link: fragment }, false) };
  }

  /* ---- beginning ---- */

  const participants = blocks.map(participant);
  const trainers = makers.map(maker);

  /* a workshop that came with the link takes the place of the page's first */
  function openLink() {
    if (!linkHolds()) return;
    participants[0]?.open(location.hash.slice(1));
    trainers[0]?.open(location.hash.slice(1));
  }

  participants.forEach((each, place) => {
    if (each.started() && !(place === 0 && linkHolds())) each.show();
  });
  openLink();
  addEventListener("hashchange", openLink);
})();
