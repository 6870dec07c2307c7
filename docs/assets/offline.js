/* Keeps the handbook on the device for later without a network (sw.js), and tells when a newer edition is ready.
   The page "Without a network" shows what is kept, and removes it. */
"use strict";

(() => {
  const root = new URL("../", document.currentScript.src);
  const keeper = navigator.serviceWorker;
  const REFUSED = "yard-handbook-not-kept"; // the reader removed it: it is not stored again unasked
  const say = (words) => {
    for (const line of document.querySelectorAll("[data-offline-state]")) line.textContent = words;
  };
  const refused = () => {
    try {
      return localStorage.getItem(REFUSED) === "1";
    } catch {
      return false;
    }
  };
  const refuse = (yes) => {
    try {
      if (yes) localStorage.setItem(REFUSED, "1");
      else localStorage.removeItem(REFUSED);
    } catch {
      // no storage at all: nothing is kept either
    }
  };

  if (location.protocol === "file:") {
    say("This copy was opened from a folder: it needs no network.");
    return;
  }
  if (!keeper) {
    say("This browser, or this address without https, can't keep the handbook. Take the archive instead.");
    return;
  }

  async function told() {
    const held = await keeper.getRegistration(root);
    const size = (await navigator.storage?.estimate?.())?.usage;
    const megabytes = size ? ` This site keeps about ${(size / 1e6).toFixed(1)} MB on this device.` : "";
    if (held?.active) say(`The whole handbook is kept on this device and opens without a network.${megabytes}`);
    else if (held) say("The handbook is being kept on this device …");
    else say(refused() ? "The handbook is not kept on this device, as you asked." : "The handbook is not kept on this device yet.");
  }

  function offer(waiting) {
    if (document.querySelector("[data-edition]")) return;
    const bar = document.createElement("p");
    bar.dataset.edition = "";
    bar.className = "edition-ready";
    bar.setAttribute("role", "status");
    const take = document.createElement("button");
    take.type = "button";
    take.textContent = "Use it now";
    take.addEventListener("click", () => waiting.postMessage("take over"));
    bar.append("A newer edition of this handbook is ready. Your answers stay. ", take);
    document.body.append(bar);
  }

  function watch(registration) {
    const installed = (worker) => {
      if (worker.state === "installed" && keeper.controller) offer(worker);
      if (worker.state === "redundant" && !registration.active) say("The handbook could not be kept: there was no room, or the network failed.");
      told();
    };
    if (registration.waiting && keeper.controller) offer(registration.waiting);
    registration.addEventListener("updatefound", () => {
      const worker = registration.installing;
      worker?.addEventListener("statechange", () => installed(worker));
    });
  }

  async function keep() {
    try {
      const registration = await keeper.register(new URL("sw.js", root), { updateViaCache: "none" });
      watch(registration);
      await registration.update().catch(() => {}); // without a network there is nothing newer
    } catch (error) {
      say(`The handbook can't be kept on this device (${error.message}).`);
    }
  }

  async function remove() {
    refuse(true);
    const registration = await keeper.getRegistration(root);
    await registration?.unregister();
    for (const name of await caches.keys()) if (name.startsWith("yard-")) await caches.delete(name);
    const place = await navigator.storage.getDirectory?.();
    if (place) for await (const name of place.keys()) if (name.startsWith("yard-start-")) await place.removeEntry(name);
    say("Removed. Your yards and answers are kept; remove those on the page of your yards.");
  }

  // another edition took over: the page, its scripts and its Python must be of one
  let controlled = Boolean(keeper.controller);
  keeper.addEventListener("controllerchange", () => {
    if (controlled) location.reload();
    controlled = true;
  });

  document.querySelector("[data-offline-keep]")?.addEventListener("click", () => {
    refuse(false);
    say("The handbook is being kept on this device …");
    keep();
  });
  document.querySelector("[data-offline-remove]")?.addEventListener("click", remove);
  told();
  if (refused() || (navigator.connection?.saveData && !keeper.controller)) return;
  // after the page and its Python have what they need
  const later = () => setTimeout(keep, 1500);
  if (keeper.controller) keep();
  else if (document.querySelector("form[data-form]")) {
    window.yardCalculators?.watch((to) => to === "ready" && later());
  } else addEventListener("load", later);
})();
