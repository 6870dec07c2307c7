/* Walks uncertain years of the reader's yard, a few at a time, and shows what was returned. It computes nothing: how far it
   is comes in words and numbers from the calculators, and what they hand back goes with the next request as it came. */
"use strict";

(() => {
  const calculators = window.yardCalculators;
  const block = document.querySelector("[data-uncertain]");
  if (!block) return;
  const part = (name) => block.querySelector(`[data-uncertain-${name}]`);
  const [go, stop, progress, said, whose, result] = ["go", "stop", "progress", "said", "whose", "result"].map(part);
  let walking = false;
  let stopped = false;

  function turn(on) {
    walking = on;
    const focused = document.activeElement;
    go.disabled = on;
    stop.disabled = !on;
    progress.hidden = !on;
    if (on && focused === go) stop.focus();
    if (!on && (focused === stop || focused === document.body)) go.focus();
  }

  function show(found) {
    if (found.nodes?.length) calculators.fill(result, found.nodes);
    if (found.whose) whose.textContent = found.whose;
  }

  async function asked(plan, more) {
    const found = await calculators.request({
      ...plan, uncertain: { seed: block.dataset.seed, draws: block.dataset.draws, ...more },
    });
    const why = found.refused || found.fault || found.stopped;
    if (why) throw new Error(why);
    return found;
  }

  async function walk() {
    const plan = window.yardPage.held(); // the yard as it stands now; what is changed meanwhile waits for the next walk
    let done = null;
    stopped = false;
    progress.removeAttribute("value");
    said.textContent = "Starting …";
    turn(true);
    try {
      for (;;) {
        const found = await asked(plan, { done, stop: stopped });
        done = found.state;
        progress.max = found.of;
        progress.value = found.done;
        said.textContent = stopped && found.nodes ? `Stopped. ${found.said}` : found.said;
        show(found);
        if (found.nodes) break;
      }
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
})();
