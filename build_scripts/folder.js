/* For a copy of the handbook that is opened from a folder by double-click, where a page may fetch nothing and start no worker
   from a file. Each packed/NAME.js holds a file (gzip, then base64) and hands it to yardFolder.put. */
"use strict";

window.yardFolder = (() => {
  const base = new URL("../", document.currentScript.src);
  const waiting = new Map();

  async function unpacked(text) {
    const bytes = Uint8Array.fromBase64?.(text) ?? Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    return new Response(stream).arrayBuffer();
  }

  function put(name, text) {
    waiting.get(name)?.(unpacked(text));
  }

  function get(name) {
    return new Promise((yes, no) => {
      waiting.set(name, yes);
      const script = document.createElement("script");
      script.src = new URL(`packed/${name}.js`, base);
      script.onerror = () => no(new Error(`${name} is not in this copy of the handbook`));
      script.onload = () => script.remove();
      document.head.append(script);
    });
  }

  /* A worker that begins when its script is unpacked, and is handed each file that it wants; until then what is posted waits. */
  function made(script) {
    let real = null;
    const posted = [];
    const stand = new EventTarget();
    stand.postMessage = (...message) => (real ? real.postMessage(...message) : posted.push(message));
    stand.terminate = () => real?.terminate();
    for (const kind of ["message", "error"]) {
      stand.addEventListener(kind, (event) => stand[`on${kind}`]?.(event));
    }
    const pass = (event) => {
      const copy = event instanceof ErrorEvent ? new ErrorEvent("error", { message: event.message, cancelable: true })
        : new MessageEvent("message", { data: event.data });
      if (!stand.dispatchEvent(copy)) event.preventDefault();
    };
    const hand = ({ data }) => get(data.name).then(
      (content) => real.postMessage({ file: { name: data.name, content } }, [content]),
      (error) => real.postMessage({ file: { name: data.name, missing: error.message } }),
    );
    get(script).then((source) => {
      real = new Worker_(URL.createObjectURL(new Blob([source], { type: "text/javascript" })));
      real.onmessage = (event) => (event.data.kind === "wants" ? hand(event) : pass(event));
      real.onerror = pass;
      for (const message of posted) real.postMessage(...message);
    }).catch((error) => stand.dispatchEvent(new ErrorEvent("error", { message: error.message, cancelable: true })));
    return stand;
  }

  // the theme's search asks for a worker by its address
  const Worker_ = window.Worker;
  window.Worker = function (address, ...more) {
    const { protocol, pathname } = new URL(address, location.href);
    return protocol === "file:" ? made(pathname.split("/").pop()) : new Worker_(address, ...more);
  };

  return { put, worker: () => made("worker.js") };
})();
