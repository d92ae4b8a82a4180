"""Findings: what is wrong with a design, in words, with the numbers and the remedy.

A finding's code is one letter for its subject (H heat, A air, K coolant, W wiring, C control, M metal,
P price) and a number that is never reused. `CODES` is the one list of them.

Levels: ``stop`` (do not cut or run), ``fix`` (will fail in service), ``watch``, ``note``.
"""

from typing import Literal

Level = Literal["stop", "fix", "watch", "note"]
LEVELS: tuple[Level, ...] = ("stop", "fix", "watch", "note")

CODES: dict[str, str] = {
    "H01": "A driving case does not hold.",
    "H02": "A full-throttle pull reaches the limit too soon.",
    "H03": "A driving case has no steady state.",
    "A01": "A fan's box number asks more moving air than its amps can make.",
    "A02": "Bare fans draw through part of the core only.",
    "A03": "The shroud is shallow.",
    "A04": "A fan is stalled.",
    "A05": "Air is drawn back through a stopped fan.",
    "A06": "At speed the fans are in the way.",
    "A07": "Low volts at a fan.",
    "A08": "The radiator breathes hot air.",
    "A09": "Much air goes round again at a standstill.",
    "K01": "Boiling decides the limit.",
    "K02": "The thermostat is not full open until past the limit.",
    "K03": "A rich mix carries less heat.",
    "K04": "Little coolant flows.",
}
