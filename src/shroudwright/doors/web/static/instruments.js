// @ts-check
// Pictures that follow a finger, put where their pages have a place for them.
import { made } from "./drawn.js";
import { Shape } from "./shaping.js";
import { Trace } from "./tracing.js";

/** @typedef {import("./acts.js").Acts} Acts */

/**
 * @typedef {object} Bench
 * @property {(what: string, body?: Record<string, any>) => Promise<any>} ask
 * @property {(name: string) => string} address of a file of this revision
 * @property {(values: Record<string, string>, why: string) => void} save
 */

const KINDS = { trace: Trace, shape: Shape };

/**
 * @param {Acts} acts
 * @param {(what: string) => string} url
 */
export function instruments(acts, url) {
  /** @type {Map<string, {picture: {root: HTMLElement, again?: () => void}, mark: string}>} */
  const set = new Map();
  let mine = "";

  /** @type {Bench} */
  const bench = {
    async ask(what, body) {
      const headers = { "content-type": "application/json" };
      const answer = await fetch(url(what), body ? { method: "POST", headers, body: JSON.stringify(body) } : {});
      const found = await answer.json();
      if (!answer.ok) throw new Error((found.faults ?? ["that was not understood"])[0]);
      return found;
    },
    address: (name) => `/jobs/${acts.job.dataset.file}/${acts.job.dataset.n}/${name}`,
    save(values, why) {
      for (const [name, value] of Object.entries(values)) {
        const box = /** @type {HTMLInputElement | null} */ (document.querySelector(`[name="${name}"]`));
        if (box) box.value = value;
      }
      mine = why;
      acts.add({ url: url("changes"), body: { values, why }, say: why });
    },
  };

  /** What was saved from the picture itself leaves it as it is; anything else has it drawn anew. */
  async function put() {
    for (const [kind, make] of Object.entries(KINDS)) {
      const into = document.getElementById(`${kind}-goes-here`);
      if (!into) continue;
      const mark = acts.job.dataset.mark ?? "";
      let held = set.get(kind);
      if (held && (mine || held.mark === mark)) {
        if (held.mark !== mark) held.picture.again?.();
        held.mark = mark;
      } else {
        try {
          held = { picture: await make.at(bench), mark };
        } catch (error) {
          into.querySelector("p")?.remove();
          into.append(made("p", "", undefined, error instanceof Error ? error.message : String(error)));
          continue;
        }
        set.set(kind, held);
      }
      const focused = held.picture.root.querySelector(":focus");
      into.replaceChildren(held.picture.root);
      /** @type {HTMLElement | null} */ (focused)?.focus();
    }
    mine = "";
  }

  document.addEventListener("answered", () => void put());
  void put();
}
