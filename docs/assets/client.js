/* The line to the calculators: starts their worker, carries requests to it and replies back, and builds what they return.
   Other scripts use it as yardCalculators. It computes nothing and makes no markup from text. It stands in the page's head
   (see site.py), so that on a page with a calculator Python starts while the page is still being read. */
"use strict";

window.yardCalculators = (() => {
  const here = document.currentScript.src;
  const atOnce = "atOnce" in document.currentScript.dataset;
  const START_LIMIT_MS = 90_000;
  const SVG = "http://www.w3.org/2000/svg";

  let worker = null;
  let state = "idle"; // idle, starting, ready, failed
  let reason = "";
  let timer = 0;
  let sent = 0;
  const waiting = new Map();
  const listeners = [];

  function turn(to, why = "") {
    state = to;
    reason = why;
    if (to === "starting" || to === "idle") delete document.documentElement.dataset.calculators;
    else document.documentElement.dataset.calculators = to;
    for (const listener of listeners) listener(to, why);
  }

  function failed(why) {
    clearTimeout(timer);
    if (worker) worker.terminate();
    worker = null;
    turn("failed", why); // only the reader's own wish starts it again
    for (const { no } of waiting.values()) no(new Error(`The calculator did not start (${why}).`));
    waiting.clear();
  }

  /* Whether a start may be remembered on this device: not where the reader removed the handbook from it, or saves data. */
  function mayKeep() {
    try {
      return localStorage.getItem("yard-handbook-not-kept") !== "1" && !navigator.connection?.saveData;
    } catch {
      return false;
    }
  }

  function start() {
    if (worker || state === "failed") return;
    turn("starting");
    try {
      // a handbook opened from a folder carries the worker and its files in scripts: see folder.js
      worker = window.yardFolder ? window.yardFolder.worker() : new Worker(new URL("worker.js", here), { name: mayKeep() ? "keep" : "" });
    } catch (error) {
      failed(String(error));
      return;
    }
    timer = setTimeout(() => failed("it took too long to start"), START_LIMIT_MS);
    worker.onmessage = ({ data }) => {
      if (data.kind === "ready") {
        clearTimeout(timer);
        document.documentElement.dataset.startedFrom = data.from;
        turn(waiting.size ? "working" : "ready");
      } else if (data.kind === "failed") {
        failed(data.reason);
      } else if (data.kind === "reply") {
        const asked = waiting.get(data.id);
        waiting.delete(data.id);
        if (!waiting.size) turn("ready");
        if (!asked) return;
        if (data.missing) asked.no(new Error(`What this needs did not arrive (${data.missing}).`));
        else asked.yes(JSON.parse(data.text));
      }
    };
    worker.onerror = (event) => {
      event.preventDefault();
      failed(event.message || "its files did not arrive");
    };
  }

  /* A promise of the reply. `needs` names libraries that are fetched only for this. */
  function request(what, needs = []) {
    start();
    return new Promise((yes, no) => {
      if (!worker) {
        no(new Error(`The calculator did not start (${reason}).`));
        return;
      }
      sent += 1;
      waiting.set(sent, { yes, no });
      if (state === "ready") turn("working");
      worker.postMessage({ id: sent, text: JSON.stringify(what), needs });
    });
  }

  function restart() {
    if (state === "failed") turn("idle");
    start();
  }

  /* Calls back with the state now and at each turn of it. */
  function watch(listener) {
    listeners.push(listener);
    listener(state, reason);
  }

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

  /* Fills a place with what was returned; folds that were open stay open. */
  function fill(place, nodes) {
    const open = new Map([...place.querySelectorAll("details[data-keep]")].map((each) => [each.dataset.keep, each.open]));
    place.replaceChildren(...nodes.map((node) => build(node)));
    for (const each of place.querySelectorAll("details[data-keep]")) {
      if (open.has(each.dataset.keep)) each.open = open.get(each.dataset.keep);
    }
    place.dispatchEvent(new CustomEvent("yard-filled", { bubbles: true })); // for scripts that had put something of theirs there
  }

  function download({ name, type, text, base64 }) {
    const content = base64 ? Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0)) : text;
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([content], { type }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  }

  function say(words, ...more) {
    for (const line of document.querySelectorAll("[data-said]")) line.replaceChildren(words, ...more);
  }

  /* The line under a calculator that says how things stand with it. */
  function tell(words, retry = false) {
    for (const line of document.querySelectorAll("[data-live-state]")) {
      line.textContent = words;
      if (!retry) continue;
      const again = document.createElement("button");
      again.type = "button";
      again.textContent = "Try again";
      again.addEventListener("click", restart);
      line.append(" ", again);
    }
  }

  function tellState(to, why) {
    if (to === "starting") tell("Starting the calculator …");
    if (to === "failed") {
      tell(`The calculator did not start (${why}). Your answers are kept; the figures are those last shown.`, true);
    }
  }
  watch(tellState);
  document.addEventListener("DOMContentLoaded", () => {
    document.querySelector('.md-search[role="dialog"]')?.setAttribute("aria-label", "Search"); // the theme gives it no name
    tellState(state, reason); // what was told before there was a line to tell it on
  });
  if (atOnce) start();

  return { request, start, watch, build, fill, download, say, tell };
})();
