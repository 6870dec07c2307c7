/* Walks uncertain years of the reader's yard, a few at a time, and shows what was returned. It computes nothing: how far it
   is comes in words and numbers from the calculators, and what they hand back goes with the next request as it came. */
"use strict";

(() => {
  const calculators = window.yardCalculators;

  function walks(block) {
    const part = (name) => block.querySelector(`[data-walks-${name}]`);
    const [go, stop, progress, said, whose, result] = ["go", "stop", "progress", "said", "whose", "result"].map(part);
    let walking = false;
    let stopped = false;

    function turn(on) {
      walking = on;
      const focused = document.activeElement;
      go.disabled = on;
      stop.disabled = !on;
      progress.hidden = !on;
      if (on && (focused === go || focused === document.body)) stop.focus();
      if (!on && (focused === stop || focused === document.body)) go.focus();
    }

    async function asked(plan, fields, more) {
      const found = await calculators.request({ ...plan, [block.dataset.walks]: { ...fields, ...more } });
      const why = found.refused || found.fault || found.stopped;
      if (why) throw new Error(why);
      return found;
    }

    function show(found) {
      progress.max = found.of ?? 1;
      if (found.of) progress.value = found.done;
      said.textContent = stopped && found.nodes ? `Stopped. ${found.said}` : found.said;
      if (found.nodes?.length) calculators.fill(result, found.nodes);
      if (found.whose) whose.textContent = found.whose;
    }

    async function walk() {
      const plan = window.yardPage.held(); // the yard as it stands now; what is changed meanwhile waits for the next walk
      const fields = Object.fromEntries([...block.querySelectorAll("input")].map((field) => [field.name, field.value]));
      let found = {};
      stopped = false;
      progress.removeAttribute("value");
      said.textContent = "Starting …";
      turn(true);
      try {
        do {
          found = await asked(plan, fields, { done: found.state ?? null, stop: stopped });
          show(found);
        } while (!found.nodes);
      } catch (error) {
        said.textContent = error.message;
      }
      turn(false);
    }

    go.addEventListener("click", () => walking || walk());
    stop.addEventListener("click", () => {
      stopped = true;
      said.textContent = "Stopping …";
    });
    go.disabled = false;
  }

  for (const block of document.querySelectorAll("[data-walks]")) walks(block);
})();
