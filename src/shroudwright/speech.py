"""Figures in the units a shop reads: inches and Fahrenheit, or millimetres and Celsius.

Dialect, SHOPS
CLIMBS       what is said in place of a temperature that settles nowhere
as_it_is        name of the last bar of the causes
gained_text     what a fix gains in a case, with its band
gain_for_money  the same for a hundred of money
elsewhere_text  what it does where it was not asked for
set_text        the smallest set of fixes, in a sentence
planned_text    what the planned fixes do together, likewise
face_lines      how a shroud's face shakes, and how near it is to harm
cure_names      what is done to it
cure_words      and what comes of it
behind_lines    what a case's plenum does and what more depth is worth
"""

import math
from dataclasses import dataclass

from shroudwright.assessment import Assessment, Band, FieldAnswer, FixAnswer, FixEffect
from shroudwright.bench.units import convert
from shroudwright.metal.stiffness import Cure, Stiffness
from shroudwright.metal.vibration import WHEEL_HOP
from shroudwright.uncertain.causes import MOST_RISE

CLIMBS = "keeps climbing"
"""Of a coolant that settles nowhere: the heat finds no way out"""


@dataclass(frozen=True)
class Dialect:
    """The units of one shop, and how their names are printed."""

    temperature: str
    air: str
    coolant: str
    length: str
    degree_sign: str
    air_sign: str
    pressure: str
    air_pressure_unit: str

    def degrees(self, kelvin: float | None) -> str:
        """Write a temperature, rounded to the degree, without its unit."""
        return "-" if kelvin is None else f"{convert(kelvin, 'K', self.temperature):z.0f}"

    def temperature_text(self, kelvin: float | None) -> str:
        """Write a temperature with its unit."""
        return "-" if kelvin is None else f"{self.degrees(kelvin)} {self.degree_sign}"

    def rise(self, kelvin: float) -> str:
        """Write a temperature difference with its unit."""
        return f"{self.rise_of(kelvin):.0f} {self.degree_sign}"

    def rise_of(self, kelvin: float) -> float:
        """Return a temperature difference in the shop's degrees."""
        return float(convert(kelvin, "K", self.temperature, difference=True))

    def speed(self, speed: float) -> str:
        """Write a road speed with its unit."""
        unit = "mph" if self.length == "in" else "km/h"
        return f"{convert(speed, 'm/s', unit):.0f} {unit}"

    def band(self, band: Band | None) -> str:
        """Write a temperature with its band, without the unit."""
        if band is None:
            return CLIMBS
        return f"{self.degrees(band.value)} ({self.degrees(band.low)} to {self.degrees(band.high)})"

    def air_flow(self, flow: float) -> str:
        """Write an air flow, rounded to ten, without its unit."""
        return f"{round(convert(flow, 'm**3/s', self.air), -1):.0f}"

    def coolant_flow(self, flow: float) -> str:
        """Write a coolant flow with its unit."""
        return f"{convert(flow, 'm**3/s', self.coolant):.0f} {self.coolant}"

    def gauge_pressure(self, pressure: float) -> str:
        """Write a gauge pressure with its unit."""
        return f"{convert(pressure, 'Pa', self.pressure):.{0 if self.pressure == 'psi' else 1}f} {self.pressure}"

    def volume(self, volume: float) -> str:
        """Write a volume with its unit."""
        unit = "qt" if self.length == "in" else "L"
        return f"{convert(volume, 'm**3', 'quart' if unit == 'qt' else 'L'):.1f} {unit}"

    def small_pressure(self, pressure: float) -> str:
        """Write a pressure of moving coolant with its unit."""
        unit = "psi" if self.length == "in" else "kPa"
        return f"{convert(pressure, 'Pa', unit):.1f} {unit}"

    def air_pressure(self, pressure: float) -> str:
        """Write a pressure of moving air with its unit."""
        unit = self.air_pressure_unit
        return f"{convert(pressure, 'Pa', unit):.{1 if unit == 'inH2O' else 0}f} {unit}"

    def stress(self, stress: float) -> str:
        """Write a stress with its unit."""
        unit = "ksi" if self.length == "in" else "MPa"
        return f"{convert(stress, 'Pa', unit):.{1 if unit == 'ksi' else 0}f} {unit}"

    def weight(self, mass: float) -> str:
        """Write a weight with its unit."""
        unit = "lb" if self.length == "in" else "kg"
        return f"{convert(mass, 'kg', unit):.1f} {unit}"

    def size(self, length: float) -> str:
        """Write a length with its unit."""
        return f"{convert(length, 'm', self.length):.3g} {self.length}"

    def tape(self, length: float) -> str:
        """Write a length as a tape reads it, to a sixteenth of an inch or in millimetres; a hair as a decimal."""
        sixteenths = round(convert(length, "m", "in") * 16.0)
        if self.length != "in" or sixteenths < 1:
            return self.size(length)
        whole, part = divmod(sixteenths, 16)
        shared = math.gcd(part, 16)
        words = [str(whole)] if whole else []
        words += [f"{part // shared}/{16 // shared}"] if part else []
        return f"{' '.join(words)} in"

    def face(self, width: float, height: float) -> str:
        """Write a width and a height with their unit."""
        return f"{convert(width, 'm', self.length):.3g} x {self.size(height)}"


SHOPS = {
    "in": Dialect("degF", "cfm", "gpm", "in", "°F", "cfm", "psi", "inH2O"),
    "mm": Dialect("degC", "m**3/hour", "L/min", "mm", "°C", "m³/h", "bar", "Pa"),
}


def as_it_is(rise: float) -> str:
    """Name a package's whole rise over outside air, K; at the most that is counted it may be hotter."""
    return "as it is" if rise < MOST_RISE - 1e-6 else "as it is, or hotter"


def gained_text(effect: FixEffect, shop: Dialect, *, is_bare: bool = False) -> str:
    """Write what a fix gains in a case, with its band: degrees, or seconds of a pull; bare is the middle alone."""
    band = effect.degrees or effect.seconds
    assert band is not None
    figures = [f"{x:.0f}" if effect.seconds else f"{shop.rise_of(x):.0f}" for x in (band.value, band.low, band.high)]
    value, low, high = ("0" if figure == "-0" else figure for figure in figures)
    unit = "s" if effect.seconds else shop.degree_sign
    return f"{value} {unit}" if is_bare else f"{value} ({low} to {high}) {unit}"


def gain_for_money(fix: FixAnswer, shop: Dialect) -> str:
    """Write the degrees, or seconds, a fix gains for a hundred of money, without the unit."""
    if fix.per_100 is None:
        return "-"
    return f"{fix.per_100 if fix.governing.seconds else shop.rise_of(fix.per_100):.1f}"


def elsewhere_text(fix: FixAnswer, shop: Dialect) -> str:
    """Say where else a fix costs or gains, the worst and the best of it; empty where it does neither."""
    worst = min(fix.elsewhere, key=_middle, default=None)
    best = max(fix.elsewhere, key=_middle, default=None)
    costs = gained_text(worst, shop, is_bare=True) if worst else ""
    gains = gained_text(best, shop, is_bare=True) if best else ""
    words = []
    if worst and costs.startswith("-"):
        words.append(f"costs {costs[1:]} in {worst.case}")
    if gains and gains[0] not in "-0":
        words.append(f"up to {gains}")
    return "; ".join(words)


def _middle(effect: FixEffect) -> float:
    band = effect.degrees or effect.seconds
    assert band is not None
    return band.value


def set_text(answer: Assessment) -> str:
    """Say the smallest set of fixes found that makes every case hold, or how near the best comes."""
    found = answer.smallest_set
    if found is None:
        return "None of the fixes known here does anything for it."
    named = {fix.code: fix.fix for fix in answer.fixes}
    fixes = " + ".join(named[code] for code in found.codes)
    odds = f"{100 * found.chance:.0f} in 100 in its worst case, {found.case}"
    price = "" if found.cost is None else f"{float(found.cost.value):,.0f} {found.currency} and "
    money = f"({price}{found.hours.value:.0f} h of work)"
    if found.holds:
        return f"The smallest set found that makes every case hold: {fixes} {money}: {odds}."
    return f"No set found of these does it. The best, {fixes} {money}, reaches {odds}."


def planned_text(answer: Assessment) -> str:
    """Say what the planned fixes do together, and what of them is not counted; nothing where nothing is planned."""
    plan = answer.planned
    if plan is None:
        return ""
    found = plan.together
    price = "" if found.cost is None else f"{float(found.cost.value):,.0f} {found.currency} and "
    holds = "every case holds" if found.holds else f"{found.case} is still the worst"
    left = "".join(f" Not counted: {code}, which {why}." for code, why in plan.left_out.items())
    return (
        f"Planned: {' + '.join(plan.fixes)} ({price}{found.hours.value:.0f} h of work): {holds}, "
        f"{100 * found.chance:.0f} in 100.{left}"
    )


def behind_lines(field: FieldAnswer, shop: Dialect) -> list[str]:
    """Say how evenly a core is drawn through, what the plenum costs and what an inch more buys; empty if not known."""
    if field.depth is None or field.starved_share is None or field.slowest is None or field.air_against_deep is None:
        return []
    starved = round(100.0 * field.starved_share)
    draws = f"leaves {starved} % of the core below half the mean speed" if starved else "draws through the whole core"
    lines = [
        f"{shop.tape(field.depth)} {draws}; its slowest spot runs at {100.0 * field.slowest:.0f} % of the mean.",
        f"Against a deep plenum it passes {100.0 * field.air_against_deep:.0f} % of the air.",
    ]
    if field.degrees_against_deep is not None and field.degrees_of_another_inch is not None:
        lost, won = (shop.rise_of(k) for k in (field.degrees_against_deep, field.degrees_of_another_inch))
        lines[1] = lines[1][:-1] + f" and costs {lost:.1f} {shop.degree_sign}."
        lines.append(f"Another {shop.tape(0.0254)} is worth {won:.1f} {shop.degree_sign}.")
    if "do not agree" in field.confidence:
        lines.append("Low confidence: field and pack do not agree on the air.")
    return lines


def cure_names(cure: Cure, shop: Dialect) -> str:
    """Name what one cure does to a face."""
    size = shop.size(cure.size)
    return {
        "thicker": f"{size} sheet",
        "bolts": f"bolts every {size}",
        "lip": f"a {size} lip on the openings",
        "bead": f"beads {size} high across",
        "strap": f"{size} angles across",
    }[cure.what]


def cure_words(cure: Cure, shop: Dialect) -> str:
    """Say what one cure makes of a face."""
    left = ", ".join(dict.fromkeys(finding.code for finding in cure.left))
    shakes = f"{cure.frequency:.0f} times a second at {100.0 * cure.fatigue_share:.0f} % of what it stands"
    return f"{cure_names(cure, shop)}, {shakes}, {f'leaves {left}' if left else 'cures it'}"


def face_lines(found: Stiffness, shop: Dialect) -> list[str]:
    """Say how a shroud's face shakes with its fans on, in a few sentences."""
    face, hop = found.face, f"{WHEEL_HOP[0]:.0f} to {WHEEL_HOP[1]:.0f}"
    beats = f"wheel hop is {hop}"
    if face.idle_firing is not None:
        beats += f", the engine at idle fires {face.idle_firing:.0f} times"
    turns = [f"{fan.code} turns {fan.rpm / 60.0:.0f} times" for fan in face.fans if fan.rpm is not None]
    mass = sum(fan.mass for fan in face.fans)
    good, hard, test = (100.0 * x for x in (found.fatigue_share, found.yield_share, found.electronics_share))
    pops = f"{shop.rise_of(found.buckling_rise):.1f} {shop.degree_sign}"
    return [
        f"The face shakes at {found.frequency:.0f} times a second with {shop.weight(mass)} of fans on it; "
        f"{', '.join([beats, *turns])}.",
        f"Shaken as a rough body shakes it, a hole where it bends most sees {good:.0f} % of the stress the metal "
        f"stands for good, and the hardest jolts {hard:.0f} % of its yield ({test:.0f} % in the harder test of vehicle "
        "electronics). A screening, not a life.",
        f"Held fast all round, dead flat, it pops at {pops} over what holds it; from cold to hot it grows "
        f"{shop.size(found.growth)}. Slots or large holes for all bolts but one.",
    ]
