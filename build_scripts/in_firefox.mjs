// Drives a Firefox through WebDriver BiDi, which it speaks by itself: see in_firefox.py, which starts this.
// Usage: node in_firefox.mjs FIREFOX PROFILE_FOLDER ADDRESS..., each address a page with a calculator; prints one line of JSON for each.

import { spawn } from "node:child_process";

const PATIENCE_MS = 20_000;
const [firefox, profile, ...addresses] = process.argv.slice(2);

const browser = spawn(firefox, ["--headless", "--no-remote", "--profile", profile, "--remote-debugging-port", "0"], {
  stdio: ["ignore", "ignore", "pipe"],
});
const socketAddress = await new Promise((yes, no) => {
  let said = "";
  browser.stderr.on("data", (words) => {
    said += words;
    const found = said.match(/WebDriver BiDi listening on (ws:\S+)/);
    if (found) yes(found[1]);
  });
  browser.on("exit", () => no(new Error(`Firefox ended: ${said.slice(-500)}`)));
  setTimeout(() => no(new Error(`Firefox did not answer: ${said.slice(-500)}`)), PATIENCE_MS);
});

const socket = new WebSocket(`${socketAddress}/session`);
await new Promise((yes) => socket.addEventListener("open", yes, { once: true }));
const waiting = new Map();
socket.addEventListener("message", ({ data }) => {
  const { id, type, result, message } = JSON.parse(data);
  const { yes, no } = waiting.get(id) ?? {};
  waiting.delete(id);
  if (type === "error") no?.(new Error(message));
  else yes?.(result);
});
let asked = 0;
const send = (method, params = {}) => new Promise((yes, no) => {
  asked += 1;
  waiting.set(asked, { yes, no });
  socket.send(JSON.stringify({ id: asked, method, params }));
});

await send("session.new", { capabilities: {} });
const { contexts: [{ context }] } = await send("browsingContext.getTree");
const run = async (expression) => {
  const { type, result, exceptionDetails } = await send("script.evaluate", { expression, target: { context }, awaitPromise: true });
  if (type === "exception") throw new Error(exceptionDetails.text);
  return result.value;
};
const until = async (expression) => {
  const end = Date.now() + PATIENCE_MS;
  for (;;) {
    const value = await run(expression);
    if (value) return value;
    if (Date.now() > end) throw new Error(`waited in vain for ${expression}; the page says: ${await run("document.querySelector('[data-live-state]')?.textContent")}`);
    await new Promise((yes) => setTimeout(yes, 25));
  }
};

const STATE = "document.documentElement.dataset.calculators";
const READY = `${STATE} === 'failed' || (${STATE} === 'ready' && performance.now())`;
const SENTENCE = "document.querySelector('.sentence').textContent";
// the first field with a number gets another one, as if it were typed
const CHANGE = `(() => {
  const field = document.querySelector("form[data-form] [data-answer] input[inputmode]");
  field.value = String(Math.round((parseFloat(field.value) || 1) * 1.5));
  field.dispatchEvent(new Event("change", { bubbles: true }));
  return field.name + "=" + field.value;
})()`;

const ANSWERED = `${STATE} === "ready" && document.querySelector("[data-live-state]").textContent.includes("one answer")`;

let failures = 0;
for (const address of addresses) {
  try {
    await send("browsingContext.navigate", { context, url: address, wait: "interactive" });
    const ready_ms = await until(READY);
    const answer = await run(CHANGE);
    const after = await until(`${ANSWERED} && ${SENTENCE}`);
    await run("localStorage.clear()"); // the next page begins with the example again
    console.log(JSON.stringify({ address, ready_ms: Math.round(ready_ms), answer, after }));
  } catch (error) {
    failures += 1;
    console.log(JSON.stringify({ address, failed: error.message }));
  }
}
await send("browser.close").catch(() => {});
browser.kill();
process.exit(failures ? 1 : 0);
