// @ts-check
// Hose necks, keep-outs and depth zones on the fans' stage: dragged, sized or typed.
import { button, drawn, dragged, latest, made, nudged, say, set, wordsOf } from "./drawn.js";

/** @typedef {Record<string, number>} At */
/** @typedef {{part: string, index: number, says: string, at: Record<string, number | null>, fields: {field: string, says: string, typed: string}[]}} Thing */
/** @typedef {{part: string, says: string, first: At}} Kind */
/** @typedef {{thing: Thing, group: Element, grip: Element, chip: HTMLButtonElement, moved: Set<string>}} Held */

const MM = 1000;
/** What is to be chosen once the stage is drawn anew. */
let wanted = "";

export class Around {
  /** @param {import("./stage.js").Stage} stage @param {import("./instruments.js").Bench} bench */
  constructor(stage, bench) {
    this.stage = stage;
    this.bench = bench;
    this.layer = drawn("g", {});
    stage.svg.insertBefore(this.layer, stage.fans[0] ?? null);
    this.root = made("div", "around");
    this.chips = made("div", "chips", this.root);
    this.editor = made("div", "boxes", this.root);
    /** @type {Held[]} */
    this.held = [];
    /** @type {Held | null} */
    this.chosen = null;
    this.latest = latest(
      () => {
        const { thing, moved } = /** @type {Held} */ (this.chosen);
        const { part, index, at } = thing;
        return bench.ask("stage/around", { places: stage.places, part, index, at: this.changed(at, moved) });
      },
      (found) => {
        stage.showGaps(found.gaps, found.fits);
        for (const [field, words] of Object.entries(found.typed)) this.type(field, String(words));
      },
      (error) => say(stage.says, wordsOf(error)),
    );
    for (const thing of stage.scene.things) this.add(thing);
    for (const kind of stage.scene.kinds) {
      button(this.chips, `Add a ${kind.says}`, () => this.more(kind));
    }
    this.choose(this.held.find(({ thing }) => `${thing.part}.${thing.index}` === wanted) ?? null);
    new ResizeObserver(() => this.held.forEach((held) => this.place(held))).observe(stage.svg);
  }

  /** @param {Thing["at"]} at @param {Set<string>} moved */
  changed(at, moved) {
    return Object.fromEntries(Object.entries(at).filter(([field]) => moved.has(field)));
  }

  /** @param {Thing["at"]} at */
  sized(at) {
    return /** @type {At} */ (Object.fromEntries(Object.entries(at).filter(([, value]) => value !== null)));
  }

  /** @param {Thing} thing */
  add(thing) {
    const { says } = thing;
    const group = drawn("g", { class: `thing ${thing.part}`, tabindex: 0, role: "button", "aria-roledescription": `movable ${says}` }, this.layer);
    if (thing.part === "keep_outs") drawn("rect", { class: "body" }, group);
    else {
      if (thing.part === "necks") drawn("circle", { class: "sweep" }, group);
      drawn("circle", { class: "body" }, group);
    }
    drawn("text", { class: "name" }, group, says);
    const grip = drawn("g", { class: "size", tabindex: 0, role: "button", "aria-label": `size of ${says}` }, this.layer);
    drawn("circle", { class: "reach" }, grip);
    drawn("rect", {}, grip);
    const chip = button(this.chips, says, () => this.choose(this.chosen === held ? null : held));
    chip.setAttribute("aria-pressed", "false");
    /** @type {Held} */
    const held = { thing, group, grip, chip, moved: new Set() };
    this.held.push(held);
    group.addEventListener("focus", () => this.choose(held));
    this.handle(group, held, (from, dx, dy) => ({ x: from.x + dx, y: from.y + dy }));
    this.handle(grip, held, (from, dx, dy) =>
      thing.part === "keep_outs"
        ? { width: Math.max(from.width + dx, this.stage.scene.snap), height: Math.max(from.height + dy, this.stage.scene.snap) }
        : { [thing.part === "necks" ? "diameter" : "size"]: Math.max((from.diameter ?? from.size) + 2 * (dx || dy), this.stage.scene.snap) },
    );
    this.place(held);
    return held;
  }

  /** @param {Element} grip @param {Held} held @param {(from: At, dx: number, dy: number) => At} moved */
  handle(grip, held, moved) {
    const { thing } = held;
    dragged(
      grip,
      (e) => {
        this.choose(held);
        const [x, y] = this.stage.spot(e);
        const from = this.sized(thing.at);
        return (now) => {
          const [u, v] = this.stage.spot(now);
          this.move(held, moved(from, u - x, v - y));
        };
      },
      () => this.drop(held),
    );
    const { snap } = this.stage.scene;
    nudged(
      grip,
      (right, up) => this.move(held, moved(this.sized(thing.at), right * snap, up * snap)),
      () => this.drop(held),
    );
  }

  /** @param {Held} held @param {At} to */
  move(held, to) {
    const { snap } = this.stage.scene;
    for (const [field, value] of Object.entries(to)) {
      held.thing.at[field] = Math.round(value / snap) * snap;
      held.moved.add(field);
    }
    this.place(held);
    void this.latest();
  }

  /** @param {Held} held */
  drop({ thing, moved }) {
    const at = this.changed(thing.at, moved);
    moved.clear();
    this.bench.act("stage/thing", { part: thing.part, index: thing.index, at }, `${thing.says} moved`);
  }

  /** @param {Held} held */
  place({ thing, group, grip }) {
    const { x, y, width, height, diameter, size } = thing.at;
    const seen = x != null && y != null;
    for (const one of [group, grip]) one.classList.toggle("unseen", !seen);
    if (!seen) return;
    const body = /** @type {Element} */ (group.querySelector(".body"));
    const pixel = this.stage.pixel();
    const box = thing.part === "keep_outs";
    const r = ((diameter ?? size ?? 0) / 2) * MM;
    const [wide, high] = box ? [(width ?? 0) * MM, (height ?? 0) * MM] : [r, r];
    set(body, box ? { x: 0, y: -high, width: wide, height: high } : { r: Math.max(r, 4 * pixel) });
    group.querySelector(".sweep")?.setAttribute("r", String(2 * r * this.stage.scene.sweep));
    set(/** @type {Element} */ (group.querySelector(".name")), { x: box ? wide / 2 : 0, y: box ? -high / 2 : -r - 6 * pixel });
    group.setAttribute("transform", `translate(${x * MM} ${-y * MM})`);
    grip.setAttribute("transform", `translate(${x * MM + wide} ${-y * MM - (box ? high : 0)})`);
    grip.querySelector(".reach")?.setAttribute("r", String(22 * pixel));
    const square = { x: -7 * pixel, y: -7 * pixel, width: 14 * pixel, height: 14 * pixel };
    set(/** @type {Element} */ (grip.querySelector("rect")), square);
    const typed = thing.fields.map(({ says, typed }) => `${says} ${typed || "left out"}`).join(", ");
    group.setAttribute("aria-label", `${thing.says}: ${typed}`);
  }

  /** @param {Held | null} held */
  choose(held) {
    if (this.chosen === held) return;
    this.chosen = held;
    wanted = held ? `${held.thing.part}.${held.thing.index}` : "";
    for (const one of this.held) {
      const mine = one === held;
      one.chip.setAttribute("aria-pressed", String(mine));
      for (const part of [one.group, one.grip]) part.classList.toggle("chosen", mine);
    }
    // What is chosen lies over the fans, so that it can be reached where one covers it.
    if (held) this.stage.svg.append(this.layer);
    else this.stage.svg.insertBefore(this.layer, this.stage.fans[0] ?? null);
    this.edit();
  }

  edit() {
    this.editor.replaceChildren();
    if (!this.chosen) return;
    const { thing } = this.chosen;
    made("p", "strong", this.editor, thing.says);
    for (const { field, says, typed } of thing.fields) {
      const box = made("div", "box", this.editor);
      const label = made("label", "", box, says);
      const input = made("input", "", box);
      input.value = typed;
      input.autocomplete = "off";
      input.id = label.htmlFor = `a-${field}`;
      input.addEventListener("change", () => {
        this.bench.save({ [`space.${thing.part}.${thing.index}.${field}`]: input.value }, `${thing.says}: ${says}`, true);
      });
    }
    button(this.editor, "Take it out", () => this.bench.act("items", { part: `space.${thing.part}`, index: thing.index }, `${thing.says} taken out`, true));
  }

  /** @param {string} field @param {string} words */
  type(field, words) {
    const mine = this.chosen?.thing.fields.find((one) => one.field === field);
    if (mine) mine.typed = words;
    const input = /** @type {HTMLInputElement | null} */ (this.editor.querySelector(`#a-${field}`));
    if (input) input.value = words;
  }

  /** @param {Kind} kind */
  more(kind) {
    const [wide, high] = this.stage.scene.core;
    const at = kind.part === "keep_outs" ? { x: 0, y: 0 } : { x: 0.9 * wide, y: 0.9 * high };
    wanted = `${kind.part}.${this.held.filter(({ thing }) => thing.part === kind.part).length}`;
    this.bench.act("stage/thing", { part: kind.part, index: null, at }, `one more ${kind.says}`, true);
  }
}
