// @ts-check
// The shroud's depths and roll on sliders: numbers and gaps follow the hand, the flats when it rests.
import { button, gapsTold, latest, made, say, told, trusted, wordsOf, WORKING } from "./drawn.js";

/** @typedef {{place: string, says: string, low: number, high: number, step: number, value: number, typed: string}} Slider */
/** @typedef {{words: string, short: boolean}} Gap */
/** @typedef {{refused: string[], values: Record<string, number>, lead?: string, case?: string, says?: string, rows?: [string, string][], gaps?: Gap[]}} Told */
/** @typedef {{pictures: {svg: string, says: string}[], weight: string}} Flats */
/** @typedef {{unit: string, folded: boolean, sliders: Slider[], instead: {anchor: string, says: string}[], now: Told, flats: Flats}} Scene */

const REST = 400;

export class Shape {
  /** @param {import("./instruments.js").Bench} bench */
  static async at(bench) {
    return new Shape(bench, await bench.ask("shape"));
  }

  /** @param {import("./instruments.js").Bench} bench @param {Scene} scene */
  constructor(bench, scene) {
    this.bench = bench;
    this.scene = scene;
    /** @type {Record<string, string>} */
    this.sizes = {};
    this.moving = "";
    this.weight = scene.flats.weight;
    this.refused = false;
    this.doing = "";
    this.root = made("div", "shape-all");
    const pictures = made("div", "shape-pictures", this.root);
    const solid = made("figure", "", scene.folded ? pictures : undefined);
    this.still = made("img", "paper", solid);
    this.still.alt = "The shroud as folded, from the upper left";
    this.turn = button(solid, "Turn it in 3D", () => this.solid());
    /** @type {HTMLIFrameElement | null} */
    this.frame = null;
    this.flats = made("figure", "", pictures);
    const sliders = made("div", "sliders", this.root);
    /** @type {Map<string, {range: HTMLInputElement, box: HTMLInputElement, fault: HTMLElement, own: number}>} */
    this.held = new Map();
    for (const slider of scene.sliders) this.slider(slider, sliders);
    for (const { anchor, says } of scene.instead) {
      const words = made("p", "says", this.root, `${says} `);
      made("a", "tap", words, "Go to its box").href = `#${anchor}`;
    }
    this.says = made("p", "stage-says", this.root);
    this.says.setAttribute("role", "status");
    this.numbers = made("dl", "stage-numbers", this.root);
    this.gaps = made("ul", "stage-gaps", this.root);
    const lost = (/** @type {unknown} */ error) => say(this.says, wordsOf(error));
    const asked = (/** @type {string} */ what) => bench.ask(`shape/${what}`, { sizes: this.sizes });
    const flattened = latest(() => asked("flats"), (flats) => this.lay(flats), lost);
    this.rest = trusted(() => asked("settle"));
    this.latest = latest(() => asked("quick"), (now) => this.show(now), lost, flattened);
    this.again();
    this.lay(scene.flats);
    this.show(scene.now);
  }

  /** What was folded anew is fetched anew. */
  again() {
    if (!this.scene.folded) return;
    this.still.src = this.bench.address("shroud.svg");
    if (this.frame) this.frame.src = this.bench.address("shroud.html");
  }

  solid() {
    if (this.frame) {
      this.frame.replaceWith(this.still);
      this.frame = null;
    } else {
      this.frame = made("iframe", "solid");
      this.frame.title = "The shroud in 3D: drag turns it";
      this.frame.setAttribute("sandbox", "allow-scripts");
      this.frame.src = this.bench.address("shroud.html");
      this.still.replaceWith(this.frame);
    }
    this.turn.textContent = this.frame ? "Back to the drawing" : "Turn it in 3D";
  }

  /** @param {Slider} slider @param {HTMLElement} into */
  slider(slider, into) {
    const { place, says, low, high, step, value, typed } = slider;
    const id = `s-${place.replace(".", "-")}`;
    const all = made("div", "slider box", into);
    const label = made("label", "", all, says);
    label.htmlFor = id;
    const range = made("input", "", all);
    Object.assign(range, { type: "range", id, min: String(low), max: String(high), step: String(step), value: String(value) });
    range.setAttribute("aria-describedby", `${id}-fault`);
    const box = made("input", "", all);
    Object.assign(box, { value: typed || `${value} ${this.scene.unit}`, autocomplete: "off" });
    box.setAttribute("aria-label", `${says}, typed`);
    const fault = made("p", "fault", all);
    fault.id = `${id}-fault`;
    this.held.set(place, { range, box, fault, own: value });
    let down = false;
    range.addEventListener("pointerdown", () => (down = true));
    range.addEventListener("input", () => {
      box.value = `${range.value} ${this.scene.unit}`;
      this.move(place, box.value);
    });
    range.addEventListener("change", () => {
      clearTimeout(this.resting);
      if (down) this.drop();
      else this.resting = setTimeout(() => this.drop(), REST);
      down = false;
    });
    box.addEventListener("change", () => {
      this.move(place, box.value);
      this.drop();
    });
  }

  /** @param {string} place @param {string} words */
  move(place, words) {
    if (this.refused && place !== this.moving) {
      const left = this.held.get(this.moving);
      if (left) {
        left.range.value = String(left.own);
        left.box.value = `${left.own} ${this.scene.unit}`;
      }
      this.sizes = {};
    }
    this.moving = place;
    this.sizes = { ...this.sizes, [place]: words };
    this.doing = "";
    this.rest.moved();
    void this.latest();
  }

  drop() {
    this.tell(WORKING);
    void this.rest.drop(
      (settled) => {
        this.tell(`${settled.sentence} ${settled.number} (${settled.band}).`);
        for (const [place, words] of Object.entries(/** @type {Record<string, string>} */ (settled.typed))) {
          const held = this.held.get(place);
          if (!held) continue;
          held.box.value = words;
          held.own = Number(held.range.value);
        }
        this.sizes = {};
        this.bench.save(settled.typed, "shroud dragged");
      },
      (words) => this.tell(`Not saved. ${words}`, true),
    );
  }

  /** @param {string} words @param {boolean} [bad] */
  tell(words, bad = false) {
    this.doing = words;
    say(this.says, words, bad);
  }

  /** @param {Told} now */
  show(now) {
    this.refused = now.refused.length > 0;
    for (const [place, { range, fault }] of this.held) {
      const refused = place === this.moving && this.refused;
      fault.textContent = refused ? `Cannot be, and is not saved. ${now.refused[0]}` : "";
      range.closest(".slider")?.classList.toggle("bad", refused);
      const value = now.values[place];
      if (value !== undefined && document.activeElement !== range) range.value = String(value);
      range.setAttribute("aria-valuetext", `${range.value} ${this.scene.unit}${refused ? `. ${now.refused[0]}` : ""}`);
    }
    if (!now.rows) return;
    say(this.says, now.says || this.doing, Boolean(now.says));
    told(this.numbers, [[`into radiator, ${now.case}`, now.lead ?? ""], ...now.rows]);
    if (this.weight) made("dt", "", this.numbers, "shroud").after(made("dd", "weight", undefined, this.weight));
    gapsTold(this.gaps, now.gaps ?? []);
  }

  /** @param {Flats} flats */
  lay(flats) {
    this.weight = flats.weight;
    this.flats.replaceChildren(
      ...flats.pictures.map(({ svg, says }) => {
        const img = made("img", "paper");
        img.src = `data:image/svg+xml,${encodeURIComponent(svg)}`;
        img.alt = says;
        return img;
      }),
    );
    const weight = this.numbers.querySelector(".weight");
    if (weight) weight.textContent = flats.weight;
  }
}
