// @ts-check
// What was typed goes to the shop one act at a time, newest last; what has not arrived stays in this browser.

/** @typedef {{url: string, body: Record<string, any>, say: string, reload?: boolean | string, picture?: string}} Act */
/** @typedef {{n: number, mark: string, can_undo: boolean, can_redo: boolean, joined: boolean}} Saved */

const RETRY_MS = 2000;

export class Acts {
  /**
   * @param {HTMLElement} job
   * @param {(words: string, bad?: boolean) => void} say
   */
  constructor(job, say) {
    this.job = job;
    this.say = say;
    this.key = `shroudwright-unsaved-${job.dataset.file}`;
    /** @type {Act[]} */
    this.waiting = JSON.parse(localStorage.getItem(this.key) ?? "[]");
    this.busy = false;
    /** @type {(saved: Saved, act: Act) => void} */
    this.onSaved = () => {};
    /** @type {(faults: string[], act: Act) => void} */
    this.onFaults = () => {};
    /** @type {(words: string, act: Act) => void} */
    this.onClash = () => {};
  }

  /** @param {Act} act */
  add(act) {
    this.waiting.push(act);
    this.keep();
    void this.send();
  }

  keep() {
    if (this.waiting.length) localStorage.setItem(this.key, JSON.stringify(this.waiting));
    else localStorage.removeItem(this.key);
  }

  async send() {
    if (this.busy) return;
    this.busy = true;
    while (this.waiting.length) {
      const act = this.waiting[0];
      /** @type {Response} */
      let answer;
      try {
        const body = JSON.stringify({ began: this.job.dataset.mark, ...act.body });
        answer = await fetch(act.url, { method: "POST", headers: { "content-type": "application/json" }, body });
        if (answer.status >= 500) throw new Error(String(answer.status));
      } catch {
        this.say(`The shop's computer does not answer. ${this.waiting.length} unsaved, kept here; trying again.`, true);
        setTimeout(() => void this.send(), RETRY_MS);
        this.busy = false;
        return;
      }
      const told = await answer.json();
      this.waiting.shift();
      this.keep();
      if (answer.ok) this.saved(told, act);
      else if (answer.status === 409) this.clash(told, act);
      else this.onFaults(told.faults ?? ["that was not understood"], act);
    }
    this.busy = false;
  }

  /**
   * @param {Saved} told
   * @param {Act} act
   */
  saved(told, act) {
    this.job.dataset.n = String(told.n);
    this.job.dataset.mark = told.mark;
    this.say(told.joined ? "Saved, joined with what somebody else changed." : "Saved.");
    this.onSaved(told, act);
  }

  /**
   * @param {{stale: string, mark: string, n: number}} told
   * @param {Act} act
   */
  clash(told, act) {
    this.job.dataset.n = String(told.n);
    this.job.dataset.mark = told.mark;
    this.onClash(told.stale, act);
  }
}
