// @ts-check
// A drive over time, the fans' temperatures as handles on it; every number comes from the shop.
import { drawn, dragged, latest, made, nudged, say, set, told, trusted, wordsOf, WORKING } from "./drawn.js";

/** @typedef {{key: string, says: string, at: number}} Handle */
/** @typedef {{step: number, minutes: number, coolant: number[], sensor: number[], fans: [number, number][], speed: number[], speed_sign: string}} Line */
/** @typedef {{level: string, key: string, words: string, do: string}} Wrong */
/** @typedef {{refused: boolean, wrong: Wrong[], rows: [string, string][], trace: Line | null}} Told */
/** @typedef {{rows: [string, string][], says: string[], band: {low: number[], high: number[]}, typed: Record<string, string>}} Settled */
/**
 * @typedef {{routes: string[], route: string, has_cooling: boolean, is_cooled: boolean, sign: string, snap: number, low: number,
 *   high: number, lines: {says: string, at: number}[], handles: Handle[], now: Told, settled: Settled | null}} Scene
 */

const GRIP = 44;
const LEFT = 44;
const RIGHT = 2 * GRIP + 12;
const FANS = 46;
const SPEED = 46;
const GAP = 22;
const TOP = 20;

export class Trace {
  /** @param {import("./instruments.js").Bench} bench */
  static async at(bench) {
    return new Trace(bench, await bench.ask("drive"));
  }

  /** @param {import("./instruments.js").Bench} bench @param {Scene} scene */
  constructor(bench, scene) {
    this.bench = bench;
    this.doing = "";
    this.rest = trusted(() => bench.ask("drive/settle", this.body()));
    this.root = made("div", "trace-all");
    const head = made("p", "trace-head", this.root);
    const label = made("label", "", head, "Drive");
    this.way = made("select", "", label);
    for (const name of scene.routes) this.way.append(new Option(name, name));
    const cooling = made("label", "pick", head);
    this.cooled = made("input", "", cooling);
    this.cooled.type = "checkbox";
    cooling.append("A/C on");
    cooling.hidden = !scene.has_cooling;
    for (const box of [this.way, this.cooled]) box.addEventListener("change", () => void this.turn());
    this.svg = /** @type {SVGSVGElement} */ (drawn("svg", { class: "trace", role: "group", "aria-label": "Coolant over the drive" }, this.root));
    this.says = made("p", "stage-says", this.root);
    this.says.setAttribute("role", "status");
    this.numbers = made("dl", "stage-numbers", this.root);
    this.wrong = made("ul", "stage-gaps", this.root);
    /** @type {Map<string, Element>} */
    this.grips = new Map();
    this.scene = scene;
    this.now = scene.now;
    /** @type {Record<string, number>} */
    this.at = {};
    this.settled = scene.settled;
    this.wide = 0;
    this.tall = 0;
    this.length = 1;
    this.latest = latest(
      () => this.bench.ask("drive/run", this.body()),
      (now) => this.show(now),
      (error) => say(this.says, wordsOf(error)),
    );
    this.set(scene);
    new ResizeObserver(() => this.draw()).observe(this.root);
  }

  /** @param {Scene} scene */
  set(scene) {
    this.scene = scene;
    this.way.value = scene.route;
    this.cooled.checked = scene.is_cooled;
    this.at = Object.fromEntries(scene.handles.map((handle) => [handle.key, handle.at]));
    this.now = scene.now;
    this.settled = scene.settled;
    this.wide = 0;
    this.draw();
  }

  async turn() {
    try {
      const asked = new URLSearchParams({ route: this.way.value, cooled: String(this.cooled.checked) });
      this.set(await this.bench.ask(`drive?${asked}`));
    } catch (error) {
      say(this.says, wordsOf(error));
    }
  }

  body() {
    return { route: this.scene.route, cooled: this.scene.is_cooled, temps: this.at };
  }

  /** @param {number} degrees */
  y(degrees) {
    const { low, high } = this.scene;
    return TOP + (this.tall - TOP) * (1 - (degrees - low) / (high - low));
  }

  /** @param {number} minutes */
  x(minutes) {
    return LEFT + ((this.wide - LEFT - RIGHT) * minutes) / this.length;
  }

  /** Everything that stays while a handle is dragged. */
  draw() {
    const wide = this.root.clientWidth;
    if (!wide || wide === this.wide) return;
    this.wide = wide;
    this.tall = Math.round(Math.min(Math.max(300, 0.42 * wide), 440));
    this.length = this.now.trace?.minutes ?? this.length;
    const high = this.tall + 2 * GAP + FANS + SPEED + 30;
    this.svg.replaceChildren();
    set(this.svg, { viewBox: `0 0 ${wide} ${high}`, width: wide, height: high });
    const { low, high: top, sign } = this.scene;
    const across = (/** @type {number} */ y, look = "hair") => drawn("line", { x1: LEFT, x2: wide - RIGHT, y1: y, y2: y, class: look }, this.svg);
    const named = (/** @type {number} */ y, words = "") => drawn("text", { x: LEFT - 6, y }, this.svg, words);
    const step = top - low > 40 ? 10 : 5;
    for (let at = Math.ceil(low / step) * step; at < top; at += step) {
      across(this.y(at));
      named(this.y(at) + 5, String(at));
    }
    named(14, sign);
    for (const { says, at } of this.scene.lines) {
      across(this.y(at), says === "limit" ? "limit" : "opens");
      drawn("text", { x: wide - RIGHT - 6, y: this.y(at) - 5 }, this.svg, says);
    }
    this.spread = drawn("path", { class: "spread" }, this.svg);
    this.sensor = drawn("path", { class: "sensor" }, this.svg);
    this.coolant = drawn("path", { class: "coolant" }, this.svg);
    const fans = this.tall + GAP + FANS;
    named(fans - FANS / 2 + 5, "fans");
    this.fans = drawn("path", { class: "ran" }, this.svg);
    across(fans);
    const road = fans + GAP + SPEED;
    this.fastest = named(road - SPEED / 2 + 5);
    this.speed = drawn("path", { class: "road" }, this.svg);
    across(road);
    const every = [1, 2, 5, 10, 15, 20].find((minutes) => this.length / minutes <= Math.max(3, wide / 110)) ?? 30;
    for (let at = 0; at <= this.length; at += every) drawn("text", { x: this.x(at), y: road + 18, class: "mid" }, this.svg, at ? String(at) : "0 min");
    this.grips.clear();
    this.scene.handles.forEach((handle, n) => this.grip(handle, n));
    this.show(this.now);
  }

  /**
   * The hotter of a pair stands over its line and the other under it, fan 2 beside fan 1: none lies over another.
   * @param {Handle} handle
   * @param {number} n
   */
  grip(handle, n) {
    const { key, says } = handle;
    const look = { class: "grip", tabindex: 0, role: "slider", "aria-orientation": "vertical", "aria-label": `${says}, ${this.scene.sign}` };
    const group = drawn("g", look, this.svg);
    const column = this.wide - RIGHT + 6 + Math.floor(n / 2) * (GRIP + 4);
    const up = n % 2 ? 0 : -GRIP;
    drawn("line", { x1: LEFT, x2: column + GRIP, y1: 0, y2: 0, class: "at" }, group);
    drawn("rect", { x: column, y: up, width: GRIP, height: GRIP, rx: 3 }, group);
    const [what, way] = [says.split(" ").slice(0, -1).join(" "), says.split(" ").at(-1) ?? ""];
    const x = column + GRIP / 2;
    drawn("text", { x, y: up + 18 }, group, what ? `${what.replace("fan ", "")} ${way}` : way);
    drawn("text", { x, y: up + 36, class: "value" }, group);
    const { snap, low, high } = this.scene;
    set(group, { "aria-valuemin": low, "aria-valuemax": high });
    dragged(
      group,
      (e) => {
        const off = this.at[key] - this.degrees(e);
        return (moved) => this.move(key, this.degrees(moved) + off);
      },
      () => this.drop(),
    );
    nudged(
      group,
      (right, up) => this.move(key, this.at[key] + (right + up) * snap),
      () => this.drop(),
    );
    this.grips.set(key, group);
    this.place(key);
  }

  /** @param {PointerEvent} e */
  degrees(e) {
    const { low, high } = this.scene;
    const y = e.clientY - this.svg.getBoundingClientRect().top;
    return low + (high - low) * (1 - (y - TOP) / (this.tall - TOP));
  }

  /** @param {string} key @param {number} to */
  move(key, to) {
    const { snap, low, high } = this.scene;
    this.at[key] = Math.round(Math.min(Math.max(to, low), high) / snap) * snap;
    this.settled = null;
    this.doing = "";
    this.rest.moved();
    this.place(key);
    void this.latest();
  }

  /** @param {string} key */
  place(key) {
    const group = this.grips.get(key);
    group?.setAttribute("transform", `translate(0 ${this.y(this.at[key])})`);
    group?.setAttribute("aria-valuenow", String(this.at[key]));
    const value = group?.querySelector(".value");
    if (value) value.textContent = `${this.at[key]}°`;
  }

  drop() {
    this.tell(WORKING);
    void this.rest.drop(
      (settled) => {
        this.settled = settled;
        this.tell("");
        const values = Object.entries(settled.typed).map(([key, words]) => [`control.${key}`, words]);
        this.bench.save(Object.fromEntries(values), "fan temperatures dragged");
      },
      (words) => this.tell(`Not saved. ${words}`),
    );
  }

  /** @param {string} words */
  tell(words) {
    this.doing = words;
    this.show(this.now);
  }

  /** @param {Told} now */
  show(now) {
    this.now = now;
    const stops = now.wrong.filter((one) => one.level === "stop");
    if (now.refused) say(this.says, `Cannot be, and is not saved: ${stops[0]?.words ?? ""}`);
    else say(this.says, [...stops.map((one) => one.words), ...(this.settled?.says ?? []).map((words) => `${words[0].toUpperCase()}${words.slice(1)}.`), this.doing].join(" "), stops.length > 0);
    told(this.numbers, [...new Map([...now.rows, ...(this.settled?.rows ?? [])])]);
    this.wrong.replaceChildren(...now.wrong.map((one) => made("li", one.level === "stop" ? "bad" : "", undefined, `${one.words} ${one.do}`)));
    for (const [key, group] of this.grips) {
      const bad = stops.find((one) => one.key === key);
      group.classList.toggle("nogo", Boolean(bad));
      group.setAttribute("aria-valuetext", `${this.at[key]} ${this.scene.sign}${bad ? `. ${bad.words}` : ""}`);
    }
    this.svg.classList.toggle("refused", now.refused);
    const line = now.trace;
    if (!line || !this.coolant) return;
    const bound = (/** @type {number} */ y) => Math.min(Math.max(this.y(y), 2), this.tall);
    const along = (/** @type {number[]} */ values) => values.map((value, k) => `${this.x(k * line.step).toFixed(1)} ${bound(value).toFixed(1)}`);
    this.coolant.setAttribute("d", `M ${along(line.coolant).join(" L ")}`);
    this.sensor?.setAttribute("d", `M ${along(line.sensor).join(" L ")}`);
    const band = this.settled?.band;
    this.spread?.setAttribute("d", band ? `M ${along(band.high).join(" L ")} L ${along(band.low).reverse().join(" L ")} Z` : "");
    const floor = this.tall + GAP + FANS;
    const steps = line.fans.map(([at, share], k) => {
      const until = line.fans[k + 1]?.[0] ?? line.minutes;
      return `M ${this.x(at).toFixed(1)} ${floor} v ${(-FANS * share).toFixed(1)} H ${this.x(until).toFixed(1)} V ${floor} Z`;
    });
    this.fans?.setAttribute("d", steps.join(" "));
    const road = floor + GAP + SPEED;
    const most = Math.max(...line.speed, 1);
    if (this.fastest) this.fastest.textContent = line.speed_sign;
    this.speed?.setAttribute("d", `M ${line.speed.map((v, k) => `${this.x(k * line.step).toFixed(1)} ${(road - (SPEED * v) / most).toFixed(1)}`).join(" L ")}`);
  }
}
