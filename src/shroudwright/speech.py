"""Figures in the units a shop reads: inches and Fahrenheit, or millimetres and Celsius.

Dialect, SHOPS
as_it_is    name of the last bar of the causes
"""

from dataclasses import dataclass

from shroudwright.assessment import Band
from shroudwright.bench.units import convert
from shroudwright.uncertain.causes import MOST_RISE


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
        return "-" if kelvin is None else f"{convert(kelvin, 'K', self.temperature):.0f}"

    def temperature_text(self, kelvin: float | None) -> str:
        """Write a temperature with its unit."""
        return "-" if kelvin is None else f"{self.degrees(kelvin)} {self.degree_sign}"

    def rise(self, kelvin: float) -> str:
        """Write a temperature difference with its unit."""
        return f"{convert(kelvin, 'K', self.temperature, difference=True):.0f} {self.degree_sign}"

    def band(self, band: Band | None) -> str:
        """Write a temperature with its band, without the unit."""
        if band is None:
            return "no steady state"
        return f"{self.degrees(band.value)} ({self.degrees(band.low)} to {self.degrees(band.high)})"

    def air_flow(self, flow: float) -> str:
        """Write an air flow, rounded to ten, without its unit."""
        return f"{round(convert(flow, 'm**3/s', self.air), -1):.0f}"

    def coolant_flow(self, flow: float) -> str:
        """Write a coolant flow with its unit."""
        return f"{convert(flow, 'm**3/s', self.coolant):.0f} {self.coolant}"

    def gauge_pressure(self, pressure: float) -> str:
        """Write a gauge pressure with its unit."""
        return f"{convert(pressure, 'Pa', self.pressure):.0f} {self.pressure}"

    def air_pressure(self, pressure: float) -> str:
        """Write a pressure of moving air with its unit."""
        unit = self.air_pressure_unit
        return f"{convert(pressure, 'Pa', unit):.{1 if unit == 'inH2O' else 0}f} {unit}"

    def size(self, length: float) -> str:
        """Write a length with its unit."""
        return f"{convert(length, 'm', self.length):.3g} {self.length}"

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
