"""Relays that switch a fan.

relays       the classes kept
relay_for    smallest for a running current
"""

from typing import NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer
from shroudwright.catalogue.read import table

RELAY_SHARE = 0.70
"""Of a contact's rating to use in a hot bay: common practice, no source, [-]"""


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
