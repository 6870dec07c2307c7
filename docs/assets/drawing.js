/* Looking closer at a drawing: moves the part of the sheet that is seen, shows and hides layers, asks for files of it.
   It computes nothing of a drawing. Without it the whole sheet is seen, and the check boxes work by the style sheet alone.
   What a reader chose is kept while the drawing is renewed beneath it. */
"use strict";

(() => {
  const calculators = window.yardCalculators;
  const STEP = 1.4;
  const MOVE = 0.2; // of what is seen
  const CLOSEST = 40; // times closer than the whole sheet
  const PNG_DOTS_PER_MM = 8; // some 200 to the inch
  const kept = new Map(); // by drawing: the part of the sheet seen, the layers hidden

  const blockOf = (node) => node.closest?.("[data-drawing]");
  const frameOf = (block) => block.querySelector(".drawing-frame");
  const svgOf = (block) => block.querySelector("svg");
  const isCloser = (frame) => frame.classList.contains("drawing-closer");
  const boxOf = (text) => text.split(" ").map(parseFloat);

  const looks = new WeakMap(); // by svg: the whole sheet and the part seen

  function look(block) {
    return looks.get(svgOf(block));
  }

  function see(block, box, said = "") {
    const state = look(block);
    const [left, top, wide, tall] = state.whole;
    const width = Math.min(Math.max(box[2], wide / CLOSEST), wide);
    const height = (width * tall) / wide; // the frame keeps its shape, so that nothing on the page moves
    const x = Math.min(Math.max(box[0], left), left + wide - width);
    const y = Math.min(Math.max(box[1], top), top + tall - height);
    state.seen = [x, y, width, height];
    svgOf(block).setAttribute("viewBox", state.seen.join(" "));
    const closer = width < wide * 0.999;
    frameOf(block).classList.toggle("drawing-closer", closer);
    kept.set(block.dataset.drawing, { ...kept.get(block.dataset.drawing), box: closer ? state.seen : null });
    if (said) block.querySelector("[data-drawing-said]").textContent = said;
  }

  function zoom(block, factor, at = null) {
    const [x, y, wide, tall] = look(block).seen;
    const [atX, atY] = at ?? [x + wide / 2, y + tall / 2];
    see(block, [atX - (atX - x) / factor, atY - (atY - y) / factor, wide / factor, tall / factor]);
    const { whole, seen } = look(block);
    block.querySelector("[data-drawing-said]").textContent = `Seen ${(whole[2] / seen[2]).toFixed(1)} times as large.`;
  }

  function move(block, right, down) {
    const [x, y, wide, tall] = look(block).seen;
    see(block, [x + right * wide, y + down * tall, wide, tall]);
  }

  const DEEDS = {
    closer: (block) => zoom(block, STEP),
    farther: (block) => zoom(block, 1 / STEP),
    left: (block) => move(block, -MOVE, 0),
    right: (block) => move(block, MOVE, 0),
    up: (block) => move(block, 0, -MOVE),
    down: (block) => move(block, 0, MOVE),
    whole: (block) => see(block, look(block).whole, "The whole sheet is seen."),
  };
  const KEYS = {
    "+": "closer", "=": "closer", "-": "farther", "−": "farther", 0: "whole",
    ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down",
  };

  /* ---- keeping while a drawing is renewed ---- */

  function prepare(within) {
    for (const block of within.querySelectorAll("[data-drawing]")) {
      const svg = svgOf(block);
      if (looks.has(svg)) continue;
      looks.set(svg, { whole: boxOf(svg.getAttribute("viewBox")), seen: boxOf(svg.getAttribute("viewBox")) });
      const before = kept.get(block.dataset.drawing);
      if (before?.box) see(block, before.box);
      for (const layer of before?.hidden ?? []) {
        const control = block.querySelector(`[data-layer="${layer}"]`);
        if (control) control.checked = false;
      }
    }
  }

  function layersChanged(block) {
    const hidden = [...block.querySelectorAll("[data-layer]:not(:checked)")].map((control) => control.dataset.layer);
    kept.set(block.dataset.drawing, { ...kept.get(block.dataset.drawing), hidden });
  }

  /* ---- pointers ---- */

  /* A place on the screen as one on the sheet. */
  function onSheet(block, event) {
    const from = svgOf(block).getScreenCTM().inverse();
    return [from.a * event.clientX + from.e, from.d * event.clientY + from.f];
  }

  const fingers = new Map();
  let held = null;

  function pressed(event) {
    const block = blockOf(event.target);
    const frame = event.target.closest?.(".drawing-frame");
    if (!block || !frame || event.button) return;
    if (held && held !== block) return;
    held = block;
    fingers.set(event.pointerId, event);
  }

  function moved(event) {
    const before = fingers.get(event.pointerId);
    if (!before || !held?.isConnected) return;
    const others = [...fingers.values()].filter((each) => each.pointerId !== event.pointerId);
    const scale = 1 / svgOf(held).getScreenCTM().a;
    if (others.length === 1) {
      const [other] = others;
      const apart = (one) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
      const middle = { clientX: (event.clientX + other.clientX) / 2, clientY: (event.clientY + other.clientY) / 2 };
      if (apart(before) > 5) zoom(held, apart(event) / apart(before), onSheet(held, middle));
    } else if (!others.length && isCloser(frameOf(held))) {
      const [x, y, wide, tall] = look(held).seen;
      see(held, [x - (event.clientX - before.clientX) * scale, y - (event.clientY - before.clientY) * scale, wide, tall]);
    }
    fingers.set(event.pointerId, event);
  }

  function released(event) {
    fingers.delete(event.pointerId);
    if (!fingers.size) held = null;
  }

  /* The page scrolls on unless the drawing has the focus or Ctrl is held. */
  function turned(event) {
    const block = blockOf(event.target);
    const frame = event.target.closest?.(".drawing-frame");
    if (!block || !frame || !(event.ctrlKey || document.activeElement === frame)) return;
    if (!event.ctrlKey && event.deltaY > 0 && !isCloser(frame)) return; // nothing farther to see: the page's turn
    event.preventDefault();
    zoom(block, event.deltaY < 0 ? STEP : 1 / STEP, onSheet(block, event));
  }

  /* ---- files ---- */

  async function png({ name, text }) {
    const address = URL.createObjectURL(new Blob([text], { type: "image/svg+xml" }));
    try {
      const image = new Image();
      image.src = address;
      await image.decode();
      const canvas = document.createElement("canvas");
      const [, , wide, tall] = boxOf(text.match(/viewBox="([^"]+)"/)[1]);
      canvas.width = wide * PNG_DOTS_PER_MM;
      canvas.height = tall * PNG_DOTS_PER_MM;
      canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
      const blob = await new Promise((done) => canvas.toBlob(done, "image/png"));
      if (!blob) throw new Error("This browser can't make a PNG; take the SVG.");
      return { name, type: "image/png", text: blob };
    } finally {
      URL.revokeObjectURL(address);
    }
  }

  async function take(block, form) {
    const said = block.querySelector("[data-drawing-file-said]");
    said.textContent = "One moment …";
    try {
      const drawing = block.dataset.drawing;
      const found = await calculators.request({
        ...window.yardPage.held(), forms: [], parts: [`answer:${drawing.split(".")[0]}`], // so that one on request is worked out
        take: { kind: "drawing", drawing, form },
      });
      if (!found.taken) throw new Error(found.refused || found.fault);
      const file = form === "png" ? await png(found.taken) : found.taken;
      calculators.download(file);
      said.textContent = `Saved as ${file.name}.`;
    } catch (error) {
      said.textContent = error.message;
    }
  }

  /* ---- beginning ---- */

  prepare(document);
  document.addEventListener("yard-filled", (event) => prepare(event.target));
  document.addEventListener("keydown", (event) => {
    const deed = KEYS[event.key];
    if (!deed || !event.target.classList?.contains("drawing-frame") || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key.startsWith("Arrow") && !isCloser(event.target)) return; // the whole is seen: arrows scroll the page
    event.preventDefault();
    DEEDS[deed](blockOf(event.target));
  });
  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("[data-look], [data-drawing-file]");
    if (!button) return;
    if (button.dataset.look) DEEDS[button.dataset.look](blockOf(button));
    else take(blockOf(button), button.dataset.drawingFile);
  });
  document.addEventListener("change", (event) => {
    if (event.target.dataset?.layer) layersChanged(blockOf(event.target));
  });
  document.addEventListener("pointerdown", pressed);
  document.addEventListener("pointermove", moved);
  for (const kind of ["pointerup", "pointercancel"]) document.addEventListener(kind, released);
  document.addEventListener("wheel", turned, { passive: false });
  addEventListener("beforeprint", () => {
    prepare(document);
    for (const svg of document.querySelectorAll("[data-drawing] svg")) svg.setAttribute("viewBox", looks.get(svg).whole.join(" "));
  });
  addEventListener("afterprint", () => {
    for (const svg of document.querySelectorAll("[data-drawing] svg")) svg.setAttribute("viewBox", looks.get(svg).seen.join(" "));
  });
})();
