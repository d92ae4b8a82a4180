// @ts-check
// A search for fans: started, followed by server-sent events, called off; then a set put into the job.
import { made, wordsOf } from "./drawn.js";

/** @typedef {{words: string, done: number, fans: number, sets: number, lead: string[]}} Progress */

export class Choosing {
  /**
   * @param {HTMLElement} job
   * @param {(words: string, bad?: boolean) => void} say
   */
  constructor(job, say) {
    this.file = job.dataset.file;
    this.say = say;
    this.go = /** @type {HTMLButtonElement} */ (document.getElementById("choose-go"));
    this.off = /** @type {HTMLButtonElement} */ (document.getElementById("choose-off"));
    this.box = /** @type {HTMLElement} */ (document.getElementById("choose-progress"));
    this.found = /** @type {HTMLElement} */ (document.getElementById("choose-found"));
    /** @type {AbortController | null} */
    this.asked = null;
    this.go.form?.addEventListener("submit", (event) => {
      event.preventDefault();
      void this.search();
    });
    this.off.addEventListener("click", () => this.asked?.abort());
  }

  async search() {
    if (this.asked) return;
    this.asked = new AbortController();
    this.working(true);
    try {
      const signal = this.asked.signal;
      const answer = await fetch(`/api/jobs/${this.file}/choose/events`, { method: "POST", signal });
      if (!answer.ok || !answer.body) throw new Error((await answer.json()).faults?.[0] ?? "that was not understood");
      await this.follow(answer.body.pipeThrough(new TextDecoderStream()).getReader());
    } catch (error) {
      const isOff = error instanceof DOMException && error.name === "AbortError";
      this.say(isOff ? "The search was called off; nothing was changed." : lost(error), !isOff);
    }
    this.asked = null;
    this.working(false);
  }

  /** @param {boolean} is */
  working(is) {
    this.go.disabled = is;
    this.off.hidden = !is;
    this.box.hidden = !is;
    if (is) {
      this.show({ words: "starting", done: 0, fans: 0, sets: 0, lead: [] });
      this.off.focus();
    } else {
      this.go.focus();
    }
  }

  /** @param {ReadableStreamDefaultReader<string>} reader */
  async follow(reader) {
    let held = "";
    for (;;) {
      const { value, done } = await reader.read();
      if (done) return;
      held += value;
      const whole = held.split("\n\n");
      held = whole.pop() ?? "";
      for (const event of whole) await this.heard(event);
    }
  }

  /** @param {string} event */
  async heard(event) {
    const [, what, data] = /^event: (\w+)\ndata: (.*)$/.exec(event) ?? [, "", "{}"];
    const told = JSON.parse(data);
    if (what === "progress") this.show(told);
    if (what === "refused") throw new Error(told.faults[0]);
    if (what !== "done") return;
    const cards = await fetch(`/jobs/${this.file}/choose/cards`);
    this.found.innerHTML = await cards.text();
    this.say(this.found.querySelector("p")?.textContent ?? "");
  }

  /** @param {Progress} told */
  show(told) {
    const [bar, words, lead] = this.box.children;
    /** @type {HTMLProgressElement} */ (bar).value = told.done;
    const looked = told.fans ? ` ${told.fans} fans, ${told.sets} sets looked at.` : "";
    words.textContent = `${told.words}.${looked}`;
    lead.replaceChildren(...told.lead.map((set) => made("li", "", undefined, set)));
  }
}

/** @param {unknown} error */
const lost = (error) => (error instanceof TypeError ? "The shop's computer does not answer; search again." : wordsOf(error));
