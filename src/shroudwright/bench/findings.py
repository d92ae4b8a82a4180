"""Findings: what is wrong with a design, in words, with the numbers and the remedy.

A finding's code is one letter for its subject (H heat, A air, K coolant, B bends, O openings, W
wiring, C control) and a number that is never reused. `CODES` is the one list of them.

Levels: ``stop`` (do not cut or run), ``fix`` (will fail in service), ``watch``, ``note``.
"""

from typing import Literal

Level = Literal["stop", "fix", "watch", "note"]
LEVELS: tuple[Level, ...] = ("stop", "fix", "watch", "note")

CODES: dict[str, str] = {
    "H01": "A driving case does not hold.",
    "H02": "A full-throttle pull reaches the limit too soon.",
    "H03": "A driving case has no steady state.",
    "H05": "No electric package will do this.",
    "H06": "What an electric package would take.",
    "H10": "Transmission fluid gets too hot.",
    "H11": "Charge air gets too hot.",
    "H12": "Engine oil gets too hot.",
    "H13": "A/C head pressure gets too high.",
    "A01": "A fan's box number asks more moving air than its amps can make.",
    "A02": "Bare fans draw through part of the core only.",
    "A03": "The shroud is shallow.",
    "A04": "A fan is stalled.",
    "A05": "Air is drawn back through a stopped fan.",
    "A06": "At speed the fans are in the way.",
    "A07": "Low volts at a fan.",
    "A08": "The radiator breathes hot air.",
    "A09": "Much air goes round again at a standstill.",
    "A10": "Something stands close behind a fan.",
    "A11": "A cooler ahead is too near the next face.",
    "A12": "A cooler ahead stands far off the next face.",
    "K01": "Boiling decides the limit.",
    "K02": "The thermostat is not full open until past the limit.",
    "K03": "A rich mix carries less heat.",
    "K04": "Little coolant flows.",
    "B01": "A bend is tighter than the metal takes.",
    "B03": "A roll too large for the depth stops short.",
    "B04": "The straight wall between two bends is too short to grip.",
    "B05": "The rolls eat the flat face a fan needs.",
    "B06": "The flange is too short to form.",
    "O01": "A hole lies close to a bend.",
    "O02": "A bolt would seat on a curve.",
    "O03": "A hole lies close to an edge.",
    "O04": "Little metal between two openings.",
    "O05": "An opening is larger than the fan's frame covers.",
    "O08": "A fan's mounting holes are not known.",
    "W01": "A wire carries more than it may.",
    "W02": "Insulation too close to the heat round it.",
    "W03": "A fan's circuit loses many volts.",
    "W04": "A ground loses many volts.",
    "W10": "A fuse over its wire's ampacity.",
    "W11": "A fan too near its fuse's hot rating.",
    "W12": "The start may open the fuse.",
    "W14": "A jammed fan may not open the fuse.",
    "W15": "The fuse box is hot.",
    "W16": "A fuse larger than its holder.",
    "W20": "A fan over 70 % of its relay.",
    "W22": "A start over the relay's contacts.",
    "W40": "The alternator falls short standing.",
    "C01": "OFF at or under the thermostat's opening.",
    "C02": "ON at or under the thermostat's opening.",
    "C03": "OFF under what the coolant settles at.",
    "C04": "OFF close over the thermostat's opening.",
    "C05": "ON and OFF too close.",
    "C06": "OFF at or above ON.",
    "C08": "Second fan too close to the first.",
    "C09": "A fan starts late.",
    "C10": "It settles hotter than a sensible OFF.",
    "C11": "The sensor sits where coolant is cooler.",
}
