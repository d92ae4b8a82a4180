// @ts-check
// Pictures that follow a finger, put where their pages have a place for them.
import { made, wordsOf } from "./drawn.js";
import { Shape } from "./shaping.js";
import { Stage } from "./stage.js";
import { Trace } from "./tracing.js";

/** @typedef {import("./acts.js").Acts} Acts */

/**
 * @typedef {object} Bench
 * @property {(what: string, body?: Record<string, any>) => Promise<any>} ask
 * @property {(name: string) => string} address of a file of this revision
 * @property {(what: string, body: Record<string, any>, why: string, anew?: boolean) => void} act one that leaves the picture as it is, or has it drawn anew
 * @property {(values: Record<string, string>, why: string, anew?: boolean) => void} save
 */

const KINDS = { stage: Stage, trace: Trace, shape: Shape };

/** @param {Acts} acts @param {(what: string) => string} url */
export function instruments(acts, url) {
  /** @type {Map<string, {picture: {root: HTMLElement, again?: () => void}, mark: string}>} */
  const set = new Map();
  /** @type {HTMLElement | null} */
  let last = null;

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
    act(what, body, why, anew = false) {
      acts.add({ url: url(what), body: { why, ...body }, say: why, picture: anew ? "anew" : "stays" });
    },
    save(values, why, anew = false) {
      for (const [name, value] of Object.entries(values)) {
        const box = /** @type {HTMLInputElement | null} */ (document.querySelector(`[name="${name}"]`));
        if (box) box.value = value;
      }
      bench.act("changes", { values }, why, anew);
    },
  };

  /** What was saved from the picture itself leaves it as it is; anything else has it drawn anew. */
  async function put(stays = false) {
    for (const [kind, make] of Object.entries(KINDS)) {
      const into = document.getElementById(`${kind}-goes-here`);
      if (!into) continue;
      const mark = acts.job.dataset.mark ?? "";
      let held = set.get(kind);
      if (held && (stays || held.mark === mark)) {
        if (held.mark !== mark) held.picture.again?.();
        held.mark = mark;
      } else {
        try {
          held = { picture: await make.at(bench), mark };
        } catch (error) {
          into.querySelector("p")?.remove();
          into.append(made("p", "", undefined, wordsOf(error)));
          continue;
        }
        set.set(kind, held);
        held.picture.root.addEventListener("focusin", (event) => (last = /** @type {HTMLElement} */ (event.target)));
      }
      if (!into.contains(held.picture.root)) into.replaceChildren(held.picture.root);
      // A page set anew takes the focus from what stays.
      if (document.activeElement?.contains(into) && into.contains(last)) last?.focus({ preventScroll: true });
    }
  }

  const saved = acts.onSaved;
  acts.onSaved = (told, act) => {
    saved(told, act);
    if (act.picture) void put(act.picture === "stays");
  };
  document.addEventListener("answered", () => void put());
  void put();
}
