// @ts-check
// What every picture that follows a finger is made of.

const SVG = "http://www.w3.org/2000/svg";

/** @param {string} name @param {Record<string, string | number>} look @param {Element} [into] @param {string} [words] */
export function drawn(name, look, into, words = "") {
  const element = set(document.createElementNS(SVG, name), look);
  element.textContent = words;
  into?.append(element);
  return element;
}

/**
 * @template {Element} E
 * @param {E} element
 * @param {Record<string, string | number>} look
 */
export function set(element, look) {
  for (const [key, value] of Object.entries(look)) element.setAttribute(key, String(value));
  return element;
}

/** @param {unknown} error */
export const wordsOf = (error) => (error instanceof Error ? error.message : String(error));

/**
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} name
 * @param {string} look
 * @param {Element} [into]
 * @param {string} [words]
 */
export function made(name, look, into, words = "") {
  const element = document.createElement(name);
  element.className = look;
  element.textContent = words;
  into?.append(element);
  return element;
}

/** @param {Element} into @param {string} words @param {() => void} click */
export function button(into, words, click) {
  const one = made("button", "", into, words);
  one.type = "button";
  one.addEventListener("click", click);
  return one;
}

/** @param {Element} list @param {{words: string, short: boolean}[]} gaps */
export function gapsTold(list, gaps) {
  list.replaceChildren(...gaps.map(({ words, short }) => made("li", short ? "bad" : "", undefined, words + (short ? " (too little)" : ""))));
}

/** @param {Element} list @param {[string, string][]} rows */
export function told(list, rows) {
  list.replaceChildren(...rows.flatMap(([name, value]) => [made("dt", "", undefined, name), made("dd", "", undefined, value)]));
}

/** @param {Element} place @param {string} words @param {boolean} [bad] */
export function say(place, words, bad = true) {
  place.textContent = words;
  place.classList.toggle("bad", bad);
}

/**
 * The newest wins: one question in flight, never a queue; rested follows when no newer one waits.
 * @param {() => Promise<any>} question
 * @param {(found: any) => void} show
 * @param {(error: unknown) => void} lost
 * @param {() => void} [rested]
 */
export function latest(question, show, lost, rested) {
  let [flying, again] = [false, false];
  return async () => {
    again = true;
    if (flying) return;
    flying = true;
    while (again) {
      again = false;
      await question().then(show).catch(lost);
    }
    flying = false;
    rested?.();
  };
}

const STILL = 100;
const AGAIN = 2000;
export const WORKING = "Working out its band …";

/**
 * What to trust where things now stand, asked for once: a hand that stops is about to let go. Where nobody answers it is tried again.
 * @param {() => Promise<any>} question
 */
export function trusted(question) {
  /** @type {Promise<any> | null} */
  let answer = null;
  let [moves, still] = [0, 0];
  const now = () => (answer ??= question());
  return {
    moved() {
      moves++;
      answer = null;
      clearTimeout(still);
      still = setTimeout(() => void now().catch(() => {}), STILL);
    },
    /** @param {(found: any) => void} then @param {(words: string) => void} lost */
    async drop(then, lost) {
      const mine = moves;
      try {
        const found = await now();
        if (mine === moves) then(found);
      } catch (error) {
        if (mine !== moves) return;
        answer = null;
        const isAway = error instanceof TypeError;
        if (isAway) setTimeout(() => mine === moves && this.drop(then, lost), AGAIN);
        lost(isAway ? "The shop's computer does not answer; what was moved is saved when it is back." : wordsOf(error));
      }
    },
  };
}

/**
 * Follow a finger, a mouse or a pen from where it takes hold of something.
 * @param {Element} grip
 * @param {(e: PointerEvent) => ((e: PointerEvent) => void) | null} take what follows each move, or nothing
 * @param {() => void} drop
 */
export function dragged(grip, take, drop) {
  /** @type {{id: number, move: (e: PointerEvent) => void, moved: boolean} | null} */
  let held = null;
  grip.addEventListener("pointerdown", (event) => {
    const e = /** @type {PointerEvent} */ (event);
    const move = take(e);
    if (!move) return;
    held = { id: e.pointerId, move, moved: false };
    grip.setPointerCapture(e.pointerId);
    grip.classList.add("held");
    /** @type {SVGElement} */ (grip).focus();
    e.preventDefault();
    e.stopPropagation();
  });
  grip.addEventListener("pointermove", (event) => {
    const e = /** @type {PointerEvent} */ (event);
    if (held?.id !== e.pointerId) return;
    held.moved = true;
    held.move(e);
  });
  for (const end of ["pointerup", "pointercancel"]) {
    grip.addEventListener(end, () => {
      grip.classList.remove("held");
      if (held?.moved) drop();
      held = null;
    });
  }
}

const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const REST = 400;
const COARSE = 8;

/**
 * Move something by arrow keys, Shift for larger steps; it is let go when they rest.
 * @param {Element} grip
 * @param {(right: number, up: number) => void} move
 * @param {() => void} drop
 */
export function nudged(grip, move, drop) {
  let resting = 0;
  grip.addEventListener("keydown", (event) => {
    const e = /** @type {KeyboardEvent} */ (event);
    const way = WAYS[/** @type {keyof WAYS} */ (e.key)];
    if (!way) return;
    e.preventDefault();
    const times = e.shiftKey ? COARSE : 1;
    move(way[0] * times, way[1] * times);
    clearTimeout(resting);
    resting = setTimeout(drop, REST);
  });
}
