// @ts-check
import { Acts } from "./acts.js";
import { Choosing } from "./choosing.js";
import { going } from "./going.js";
import { button, made } from "./drawn.js";
import { instruments } from "./instruments.js";

const job = document.getElementById("job");
const state = document.getElementById("state");

/** @param {string} words @param {boolean} [bad] */
function say(words, bad = false) {
  if (!state) return;
  state.textContent = words;
  state.classList.toggle("bad", bad);
}

for (const button of document.querySelectorAll("[data-unknown]")) {
  button.addEventListener("click", () => {
    const input = /** @type {HTMLInputElement} */ (document.getElementById(button.getAttribute("data-unknown") ?? ""));
    input.value = "don't know";
  });
}

if (job) begin(job);
going();

/** @param {HTMLElement} job */
function begin(job) {
  const acts = new Acts(job, say);
  const url = (/** @type {string} */ what) => `/api/jobs/${job.dataset.file}/${what}`;
  const place = document.getElementById("answer");
  const clash = document.getElementById("clash");
  let asked = 0;

  async function refresh() {
    if (!place) return;
    const mine = ++asked;
    place.setAttribute("aria-busy", "true");
    try {
      for (;;) {
        const answer = await fetch(`/jobs/${job.dataset.file}/${job.dataset.page}/answer`);
        if (mine !== asked) return;
        const text = await answer.text();
        // Not from under a finger.
        while (place.querySelector(".held, input:active")) await new Promise((next) => setTimeout(next, 100));
        if (mine !== asked) return;
        const held = place.contains(document.activeElement);
        place.innerHTML = text;
        if (held) place.focus({ preventScroll: true });
        if (!place.querySelector(".waiting")) break;
      }
      document.dispatchEvent(new CustomEvent("answered"));
    } catch {
      say("The shop's computer does not answer; trying again.", true);
      setTimeout(refresh, 2000);
    } finally {
      if (mine === asked) place.removeAttribute("aria-busy");
    }
  }

  /** How each number is known follows what was saved; the boxes stay, whoever is at them. */
  async function follow() {
    const { mark } = job.dataset;
    const text = await (await fetch(location.pathname)).text();
    if (mark !== job.dataset.mark) return;
    const now = new DOMParser().parseFromString(text, "text/html");
    for (const part of now.querySelectorAll(".asks .guess, .from > div")) document.getElementById(part.id)?.replaceWith(part);
    for (const box of /** @type {NodeListOf<HTMLInputElement>} */ (now.querySelectorAll(".asks input"))) {
      document.getElementById(box.id)?.setAttribute("placeholder", box.placeholder);
    }
  }

  acts.onSaved = (saved, act) => {
    for (const [act, can] of Object.entries({ undo: saved.can_undo, redo: saved.can_redo })) {
      document.querySelector(`[data-act="${act}"]`)?.toggleAttribute("disabled", !can);
    }
    if (act.reload === "top") location.href = location.pathname;
    else if (act.reload) location.reload();
    else {
      void refresh();
      void follow().catch(() => {});
    }
  };
  /** @param {string} name of a field, which may stand on the picture too */
  function boxes(name) {
    const found = document.querySelectorAll(`.asks .box:has(> [name="${name}"])`);
    for (const box of found) box.querySelector(".fault")?.remove();
    return found;
  }

  acts.onFaults = (faults, act) => {
    say(faults[0], true);
    for (const name of Object.keys(act.body.values ?? {})) {
      for (const box of boxes(name)) {
        box.classList.add("bad");
        const words = faults.find((fault) => fault.startsWith(name)) ?? faults[0];
        made("p", "fault", box, words).setAttribute("role", "alert");
      }
    }
  };
  acts.onClash = (words, act) => {
    if (!clash) return;
    clash.hidden = false;
    clash.textContent = "";
    made("p", "", clash, `${words}. Yours: ${act.say}.`);
    const mine = button(clash, "Put mine in", () => {
      clash.hidden = true;
      acts.add(act);
    });
    clash.append(" ");
    button(clash, "Keep theirs", () => location.reload());
    mine.focus();
  };

  document.addEventListener("change", (event) => {
    const box = /** @type {HTMLInputElement} */ (event.target);
    if (!box.name || !box.closest(".asks")) return;
    for (const twin of boxes(box.name)) {
      twin.classList.remove("bad");
      /** @type {HTMLInputElement} */ (twin.querySelector("[name]")).value = box.value;
    }
    const typed = box.value.trim() === "don't know" ? "" : box.value;
    acts.add({ url: url("changes"), body: { values: { [box.name]: typed } }, say: `${box.name} = ${box.value}` });
  });

  document.addEventListener("click", (event) => {
    const button = /** @type {HTMLElement} */ (event.target).closest("button");
    if (!button) return;
    const { act, add, take, restore } = button.dataset;
    if (act) step(act, {});
    if (restore) step("restore", { n: Number(restore) });
    if (add) {
      acts.add({ url: url("items"), body: { part: add, values: first(add) }, say: `one more of ${add}`, reload: true });
    }
    if (take) {
      const [part, index] = take.split(".");
      acts.add({ url: url("items"), body: { part, index: Number(index) }, say: `${take} taken out`, reload: true });
    }
  });

  /** @param {string} what @param {Record<string, any>} body */
  function step(what, body) {
    acts.add({ url: url(what), body, say: what, reload: true });
  }

  /** @param {string} part */
  function first(part) {
    const count = document.querySelectorAll(`[data-take^="${part}."]`).length + 1;
    return part === "cases" ? { name: `case ${count}`, kind: "cruise" } : part === "accepted" ? { code: "?" } : {};
  }

  document.addEventListener("submit", (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    const { actUrl, say: words, anew } = form.dataset;
    if (!actUrl) return;
    event.preventDefault();
    const { began, ...body } = Object.fromEntries(new FormData(form));
    acts.add({ url: url(actUrl), body, say: words ?? actUrl, reload: anew });
  });

  document.addEventListener("keydown", (event) => {
    const typing = /** @type {HTMLElement} */ (event.target).closest("input, select, textarea");
    if (typing || !(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
    event.preventDefault();
    step(event.shiftKey ? "redo" : "undo", {});
  });

  if (document.getElementById("choose")) new Choosing(job, say);
  async function setLooks() {
    const into = document.getElementById("looks");
    if (!into) return;
    const answer = await fetch(`/jobs/${job.dataset.file}/packet/looks`);
    if (answer.ok) into.innerHTML = await answer.text();
    else into.hidden = true;
  }
  document.addEventListener("answered", () => void setLooks());
  void setLooks();
  instruments(acts, url);

  if (acts.waiting.length) void acts.send();
  if (place?.dataset.ready === "no") void refresh();
}
