// @ts-check
// Fans dragged by finger, mouse or arrows; every number comes from the shop.

/** @typedef {[number, number]} Spot */
/** @typedef {{code: string, opening: number, frame: number | null, corner: number, motor: number, place: Spot}} Fan */
/** @typedef {{left: number, bottom: number, dx: number, dy: number, speed: number[][]}} AirMap */
/** @typedef {{words: string, short: boolean, fans: string[]}} Gap */
/** @typedef {{lead: string, case: string, says: string, fits: boolean, rows: [string, string][], gaps: Gap[], map: AirMap | null}} Told */
/** @typedef {{number: string, band: string, sentence: string, typed: [string, string][]}} Settled */
/**
 * @typedef {{units: string, snap: number, core: Spot, plates: [number, number, number][][],
 *   solids: {name: string, x: number, y: number, width: number, height: number, corner: number}[],
 *   fans: Fan[], ramp: string[], scale: string, now: Told, things: import("./around.js").Thing[],
 *   kinds: import("./around.js").Kind[], sweep: number}} Scene
 */

import { Around } from "./around.js";
import { drawn, dragged, gapsTold, latest, made, nudged, say, set, told, trusted } from "./drawn.js";

const MM = 1000;
const MARGIN = 0.12;

/** @param {[number, number, number][]} outline corners with the bulge of the side that follows */
function way(outline) {
  const steps = [`M ${outline[0][0] * MM} ${-outline[0][1] * MM}`];
  outline.forEach(([x, y, bulge], at) => {
    const [u, v] = outline[(at + 1) % outline.length];
    if (bulge === 0) {
      steps.push(`L ${u * MM} ${-v * MM}`);
      return;
    }
    const radius = (MM * Math.hypot(u - x, v - y) * (1 + bulge * bulge)) / (4 * Math.abs(bulge));
    steps.push(`A ${radius} ${radius} 0 ${Math.abs(bulge) > 1 ? 1 : 0} ${bulge < 0 ? 1 : 0} ${u * MM} ${-v * MM}`);
  });
  return `${steps.join(" ")} Z`;
}

export class Stage {
  /** @param {import("./instruments.js").Bench} bench */
  static async at(bench) {
    return new Stage(bench, await bench.ask("stage"));
  }

  /** @param {import("./instruments.js").Bench} bench @param {Scene} scene */
  constructor(bench, scene) {
    this.scene = scene;
    this.bench = bench;
    /** @type {Spot[]} */
    this.places = scene.fans.map((fan) => [...fan.place]);
    this.latest = latest(
      () => bench.ask("stage/quick", { places: this.places }),
      (found) => this.show(found),
      () => (this.says.textContent = "The shop's computer does not answer; the fans can still be moved."),
    );
    this.rest = trusted(() => bench.ask("stage/settle", { places: this.places }));
    this.root = made("div", "stage-all");
    const [wide, high] = scene.core;
    const pad = MARGIN * Math.max(wide, high) * MM;
    const box = `${-pad} ${-high * MM - pad} ${wide * MM + 2 * pad} ${high * MM + 2 * pad}`;
    this.svg = /** @type {SVGSVGElement} */ (
      drawn("svg", { class: "stage", viewBox: box, role: "group", "aria-label": "Fans on the core, seen from behind; drag them, or move them with the arrow keys" }, this.root)
    );
    this.air = drawn("image", { preserveAspectRatio: "none", class: "air" }, this.svg);
    drawn("rect", { x: 0, y: -high * MM, width: wide * MM, height: high * MM, class: "core" }, this.svg);
    for (const plate of scene.plates) drawn("path", { d: way(plate), class: "plate" }, this.svg);
    for (const { name, x, y, width, height, corner } of scene.solids) {
      const look = { x: x * MM, y: -(y + height) * MM, width: width * MM, height: height * MM, rx: corner * MM, class: "solid" };
      drawn("title", {}, drawn("rect", look, this.svg), name);
    }
    this.fans = scene.fans.map((fan, at) => this.fan(fan, at));
    this.key = made("p", "scale", this.root, scene.scale);
    this.key.hidden = !scene.scale;
    const bar = made("span", "ramp");
    for (const colour of scene.ramp) {
      const one = drawn("svg", { viewBox: "0 0 1 1", preserveAspectRatio: "none", "aria-hidden": "true" }, bar);
      drawn("rect", { width: 1, height: 1, fill: colour }, one);
    }
    this.key.prepend(bar);
    this.says = made("p", "stage-says", this.root);
    this.numbers = made("dl", "stage-numbers", this.root);
    this.gaps = made("ul", "stage-gaps", this.root);
    this.around = new Around(this, bench);
    this.svg.after(this.around.root);
    this.place();
    this.show(scene.now);
  }

  /** The job stands otherwise than before: other numbers. */
  again() {
    void this.latest();
  }

  /** Width of a pixel, mm. */
  pixel() {
    return 1 / (this.svg.getScreenCTM()?.a || 1);
  }

  /** @param {Fan} fan @param {number} at */
  fan(fan, at) {
    const group = drawn("g", { class: "fan", tabindex: 0, role: "button", "aria-roledescription": "movable fan" }, this.svg);
    const r = (fan.opening / 2) * MM;
    if (fan.frame) {
      const half = (fan.frame / 2) * MM;
      drawn("rect", { x: -half, y: -half, width: 2 * half, height: 2 * half, rx: fan.corner * MM, class: "frame" }, group);
    }
    drawn("circle", { r: r + 3, class: "halo" }, group);
    drawn("circle", { r, class: "rim" }, group);
    drawn("circle", { r: (fan.motor / 2) * MM, class: "motor" }, group);
    drawn("text", { y: 8, class: "name" }, group, fan.code);
    dragged(
      group,
      (e) => {
        const [x, y] = this.spot(e);
        const [u, v] = this.places[at];
        return (now) => {
          const [right, up] = this.spot(now);
          this.move(at, [u + right - x, v + up - y]);
        };
      },
      () => this.drop(),
    );
    nudged(
      group,
      (right, up) => {
        const [x, y] = this.places[at];
        this.move(at, [x + right * this.scene.snap, y + up * this.scene.snap]);
      },
      () => this.drop(),
    );
    return group;
  }

  /** @param {PointerEvent} e */
  spot(e) {
    const matrix = this.svg.getScreenCTM();
    const at = new DOMPoint(e.clientX, e.clientY).matrixTransform(matrix?.inverse());
    return /** @type {Spot} */ ([at.x / MM, -at.y / MM]);
  }

  /** @param {number} at @param {Spot} to */
  move(at, to) {
    const { snap, core } = this.scene;
    const kept = to.map((value, axis) => {
      const near = Math.min(Math.max(value, -MARGIN * core[axis]), (1 + MARGIN) * core[axis]);
      return Math.round(near / snap) * snap;
    });
    this.places[at] = /** @type {Spot} */ (kept);
    this.place();
    void this.latest();
    this.rest.moved();
  }

  place() {
    this.fans.forEach((group, at) => {
      const [x, y] = this.places[at];
      group.setAttribute("transform", `translate(${x * MM} ${-y * MM})`);
    });
  }

  drop() {
    void this.rest.drop(
      (settled) => this.dropped(settled),
      (words) => say(this.says, words),
    );
  }

  /** @param {Settled} settled */
  dropped(settled) {
    const [number, band, sentence] = document.querySelectorAll(".lead > p");
    if (sentence) {
      number.textContent = settled.number;
      band.textContent = settled.band;
      sentence.textContent = settled.sentence;
    }
    const typed = settled.typed.flatMap(([x, y], at) => [
      [`fans.${at}.x`, x],
      [`fans.${at}.y`, y],
    ]);
    this.bench.save(Object.fromEntries(typed), "fans moved");
  }

  /** @param {Told} found */
  show(found) {
    this.showGaps(found.gaps, found.fits, found.says);
    told(this.numbers, [[`into radiator, ${found.case}`, found.lead], ...found.rows]);
    this.paint(found.map);
  }

  /** @param {Gap[]} gaps @param {boolean} fits @param {string} [words] */
  showGaps(gaps, fits, words = "") {
    say(this.says, words || (fits ? "Fits." : "Does not fit: see the short gaps."), !fits || Boolean(words));
    gapsTold(this.gaps, gaps);
    this.fans.forEach((group, at) => {
      const own = this.scene.fans[at].code;
      const short = gaps.filter((gap) => gap.short && gap.fans.includes(own));
      group.classList.toggle("nogo", short.length > 0);
      const near = gaps.find((gap) => gap.fans.includes(own));
      group.setAttribute("aria-label", `${own}. ${short.length ? `Does not fit: ${short[0].words}` : (near?.words ?? "")}`);
    });
  }

  /** @param {AirMap | null} map */
  paint(map) {
    if (!map) {
      this.air.removeAttribute("href");
      return;
    }
    const rows = map.speed.length;
    const columns = map.speed[0].length;
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [columns, rows];
    const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    map.speed.forEach((row, j) =>
      row.forEach((band, i) => {
        if (band < 0) return;
        pen.fillStyle = this.scene.ramp[band];
        pen.fillRect(i, rows - 1 - j, 1, 1);
      }),
    );
    const look = { x: map.left * MM, y: -(map.bottom + rows * map.dy) * MM, width: columns * map.dx * MM, height: rows * map.dy * MM };
    set(this.air, { ...look, href: canvas.toDataURL() });
  }
}
