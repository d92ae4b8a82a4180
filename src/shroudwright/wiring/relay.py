"""Relays that switch a fan.

relays       the classes kept
relay_for    smallest for a running current
coil_current  of one coil
contact_life  years its contacts last
"""

from typing import NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer
from shroudwright.catalogue.read import table

RELAY_SHARE = 0.70
"""Of a contact's rating to use in a hot bay: common practice, no source, [-]"""

MOMENTARY = 1.5
"""Times its rating a contact passes for a moment, as the relays kept: practice, [-]"""
CONTACT_LIFE = 100_000.0
"""Switchings at the rated load: data sheets, typical, [-]"""


class Relay(NamedTuple):
    """One class of relay."""

    code: str
    rating: float
    """of the normally open contact, resistive, [A]"""
    rating_closed: float | None
    """of the normally closed contact, [A]"""
    momentary: float
    """that may pass at a start, [A]"""
    coil_resistance: float
    """[ohm]"""
    source: str
    seen: str
    grade: str


def relays() -> tuple[Relay, ...]:
    """Return the relay classes kept, smallest first."""
    return table("relays.csv", Relay)


@offer
def relay_for(current: float, share: float = RELAY_SHARE) -> float:
    """Smallest relay that may switch a running current in a hot bay.

    I <= share x rating of the normally open contact

    Parameters
    ----------
    current : float
        Highest running current, I, [A]
    share : float
        Of the rating to use, [-]

    Returns
    -------
    rating : float
        [A]

    Raises
    ------
    InputError
        If none kept is large enough.

    Notes
    -----
    Limits: one relay to a fan; the start must also stay under its momentary rating. Accuracy: practice.

    References
    ----------
    Common practice, no source; ratings from public data sheets.
    """
    for relay in relays():
        if current <= share * relay.rating:
            return relay.rating
    raise InputError([f"no relay kept runs at {current:g} A in a hot bay; use a solid-state controller"])


@offer
def coil_current(volts: float, resistance: float) -> float:
    """Return the current of a relay's coil.

    V / R

    Parameters
    ----------
    volts : float
        At the coil, V, [V]
    resistance : float
        Of the coil, R, [ohm]

    Returns
    -------
    current : float
        [A]

    Notes
    -----
    Limits: at 20 degC; a coil at 85 degC draws a fifth less. Accuracy: 10 %, the coils' own.

    References
    ----------
    Ohm's law; coils of 80 to 100 ohm in two public data sheets.
    """
    return volts / resistance


@offer
def contact_life(cycles_per_hour: float, hours_per_year: float, life: float = CONTACT_LIFE) -> float:
    """Return the years a relay's contacts last.

    life / (cycles an hour x hours a year)

    Parameters
    ----------
    cycles_per_hour : float
        Starts, [-]
    hours_per_year : float
        Driven, [-]
    life : float
        Switchings at the rated load, [-]

    Returns
    -------
    years : float
        [-]

    Notes
    -----
    Limits: at the rated load; starts over the momentary rating wear faster. Accuracy: a factor of 2.

    References
    ----------
    100 000 switchings as typical in public data sheets.
    """
    return life / (cycles_per_hour * hours_per_year)
