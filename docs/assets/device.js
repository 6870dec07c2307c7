/* The yards that this device holds, each under a key of its own. Nothing here leaves the device. */
"use strict";

window.yardDevice = (() => {
  const PREFIX = "composting-yard:";
  const FIRST_KEY = "composting-yard-plan"; // where the first release kept its only yard
  const CURRENT = "composting-yard-current";
  const UNITS = "composting-yard-units"; // the unit system last chosen, for yards that are begun
  const VERSION = 2;

  /* What a yard is before anything was answered. */
  const blank = () => ({
    answers: {}, example: "larkhollow", system: read("localStorage", UNITS) || "metric", name: "", money: "", about: "", guessed: [],
  });

  function parsed(text) {
    try {
      const held = JSON.parse(text);
      return held && typeof held.answers === "object" && held.answers ? { ...blank(), ...held } : null;
    } catch {
      return null;
    }
  }

  function read(store, key) {
    try {
      return self[store].getItem(key);
    } catch {
      return null; // a browser that forbids storage
    }
  }

  /* Whether it could be written: storage may be full or forbidden. */
  function write(store, key, text) {
    try {
      self[store].setItem(key, text);
      return true;
    } catch {
      return false;
    }
  }

  const load = (id) => parsed(read("localStorage", PREFIX + id));
  const keep = (id, yard) =>
    write("localStorage", PREFIX + id, JSON.stringify({ made: Date.now(), ...yard, version: VERSION, changed: Date.now() }));

  function add(yard) {
    const id = Date.now().toString(36) + Math.random().toString(36).slice(2, 6);
    return keep(id, { ...yard, made: Date.now() }) ? id : null;
  }

  function remove(id) {
    try {
      localStorage.removeItem(PREFIX + id);
    } catch {
      return; // then there is nothing to remove either
    }
  }

  function ids() {
    try {
      return Object.keys(localStorage).filter((key) => key.startsWith(PREFIX)).map((key) => key.slice(PREFIX.length));
    } catch {
      return [];
    }
  }

  const list = () =>
    ids().map((id) => ({ id, yard: load(id) })).filter((each) => each.yard).sort((one, other) => one.yard.made - other.yard.made);

  /* The yard that this tab works on, else the one last worked on in any. */
  function current() {
    const id = read("sessionStorage", CURRENT) ?? read("localStorage", CURRENT);
    return id && load(id) ? id : null;
  }

  function choose(id) {
    write("sessionStorage", CURRENT, id);
    write("localStorage", CURRENT, id);
  }

  const preferUnits = (system) => write("localStorage", UNITS, system);

  /* How a yard is called in lists. */
  function label(yard) {
    if (yard.name) return yard.name;
    return `${yard.title || "Yard"}, begun ${new Date(yard.made).toLocaleDateString()}`;
  }

  function takeOverFirst() {
    const first = parsed(read("localStorage", FIRST_KEY));
    if (!first) return;
    const id = Object.keys(first.answers).length ? add(first) : "";
    if (id === null) return; // no room: it stays where it is
    if (id) choose(id);
    try {
      localStorage.removeItem(FIRST_KEY);
      localStorage.removeItem(`${FIRST_KEY}-earlier`);
    } catch {
      return;
    }
  }

  takeOverFirst();
  const idOf = (key) => (key?.startsWith(PREFIX) ? key.slice(PREFIX.length) : null);
  return { blank, load, keep, add, remove, list, current, choose, preferUnits, label, idOf };
})();
