"""A job's wiring: what is fitted, what works the fans, and the harness that follows.

fitted_of       wires, fuses, relays and source as typed
switching_of    what works the fans
needs_of        what the harness must do; needs_for the same under another scheme
stages_of       which fans start first
has_second      whether there are two stages
runs_of         lengths of its stretches
curve_of        alternator's speed and amps
other_loads     what all but the fans takes
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from shroudwright.job.filled import Filled
from shroudwright.job.model import Job
from shroudwright.job.quantity import Reading
from shroudwright.wiring.fitted import Fitted, Switching
from shroudwright.wiring.schemes import GIVES_SIGNAL, SCHEMES, Needs
from shroudwright.wiring.sizing import Runs

_KINDS = {"standard blade": "C", "large blade": "E"}
MODULES = ("pwm module", "computer and pwm module")
TWO_SPEEDS = 2


def _v(reading: Reading | None) -> float | None:
    return None if reading is None else reading.value


def fitted_of(job: Job) -> Fitted:
    """Return wires, fuses, relays and source as typed.

    Parameters
    ----------
    job : Job
        As read.

    Returns
    -------
    Fitted
    """
    typed = job.electrical
    return Fitted(
        standard=typed.wire_standard,
        gauge=_v(typed.gauge),
        ground_gauge=_v(typed.ground_gauge),
        fuse_kind=None if typed.fuse_type is None else _KINDS[typed.fuse_type],  # type: ignore[arg-type]
        fuse_rating=_v(typed.fuse_rating),
        fused=typed.fused,
        main_fuse=_v(typed.main_fuse),
        holder_rating=_v(typed.holder_rating),
        fuse_distance=_v(typed.fuse_distance),
        is_sheathed=bool(typed.sheathed),
        relay_rating=_v(typed.relay_rating),
        fans_per_relay=int(_v(typed.fans_per_relay) or 1),
        coil=typed.coil,
        coil_plus=typed.coil_plus,
        coil_fuse=_v(typed.coil_fuse),
        supply_point=typed.supply_point,
        ground_point=typed.ground_point,
        charge_gauge=_v(typed.charge_gauge),
        charge_fuse=_v(typed.charge_fuse),
        connector_rating=_v(typed.connector_rating),
        connector_gauge=_v(typed.connector_gauge),
        is_connector_sealed=typed.connector_sealed,
        is_near_exhaust=typed.near_exhaust,
        has_grommet=typed.grommets,
        has_cut_out=bool(typed.motor_cut_out),
    )


def switching_of(filled: Filled) -> Switching:
    """Return what works the fans, as typed; the scheme guessed where nobody says.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    Switching
    """
    typed = filled.job.control
    low, high = _v(typed.lowest_frequency), _v(typed.highest_frequency)
    return Switching(
        scheme=str(filled.word("control.scheme")),
        carries=typed.carries,
        switch_rating=_v(typed.switch_rating),
        output_rating=_v(typed.output_rating),
        output=typed.output,
        module_rating=_v(typed.module_rating),
        module_limit=_v(typed.module_limit),
        polarity=typed.polarity,
        frequency=_v(typed.frequency),
        frequency_range=None if low is None or high is None else (low, high),
        least_duty=_v(typed.least_duty),
        start_duty=_v(typed.start_duty),
        slope=_v(typed.slope),
        dead_band=_v(typed.dead_band),
        soft_start=_v(typed.soft_start),
        stagger=_v(typed.stagger),
        has_override=bool(typed.override),
        is_off_in_crank=typed.crank_inhibit,
    )


def needs_of(filled: Filled) -> Needs:
    """Return what the harness must do; see `stages_of` for which start first.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    Needs
        An A/C request wherever the A/C runs in a driving case, unless the job says.
    """
    return needs_for(filled, str(filled.word("control.scheme")))


def needs_for(filled: Filled, scheme: str) -> Needs:
    """Return what the harness must do under a scheme; see `needs_of`."""
    job = filled.job
    request = job.control.air_conditioning_request
    if request is None:
        request = any(filled.word(f"cases.{index}.air_conditioning") is True for index in range(len(job.cases)))
    brushless = [index for index in range(len(job.fans)) if filled.word(f"fans.{index}.kind") == "brushless"]
    return Needs(
        fans=tuple(fan.code for fan in job.fans),
        stages=stages_of(job, scheme),
        has_air_conditioning=request,
        has_override=bool(job.control.override),
        is_off_in_crank=job.control.crank_inhibit is not False,
        is_after_run=(_v(job.control.after_run) or 0.0) > 0.0,
        governed=tuple(brushless) if scheme in GIVES_SIGNAL else (),
    )


def stages_of(job: Job, scheme: str) -> tuple[int, ...]:
    """Return which fans start first: those typed, else the first alone, unless one switch starts all."""
    first = job.control.first_stage or tuple(fan.code for fan in job.fans[:1])
    return tuple(1 if fan.code in first or scheme in ("dash switch", "thermal switch") else 2 for fan in job.fans)


def has_second(filled: Filled) -> bool:
    """Whether the fans come on in two stages: some after others, or all faster."""
    scheme = str(filled.word("control.scheme"))
    return SCHEMES[scheme].speeds == TWO_SPEEDS or max(stages_of(filled.job, scheme), default=1) > 1


def runs_of(filled: Filled) -> Runs:
    """Return the lengths of the stretches wires run through.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    Runs
    """
    names = ("hot_run", "fender_run", "cabin_run", "ground_run", "control_run")
    return Runs(*(filled.median(f"electrical.{name}") for name in names))


def other_loads(filled: Filled) -> NDArray[np.float64]:
    """Return what all but the fans takes, an electric water pump with it, [A].

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    array
        Draws. Other loads measured at the car with the engine running have the pump in them already.
    """
    electrical, plumbing = filled.job.electrical, filled.job.plumbing
    loads = filled["electrical.other_loads"]
    is_in_them = electrical.other_loads is not None and electrical.other_loads.standing == "measured"
    if plumbing.pump != "electric" or is_in_them:
        return loads
    return np.asarray(loads + filled["plumbing.electric_amps"])


def curve_of(job: Job) -> Sequence[tuple[float, float]]:
    """Return the alternator's own speed and its hot amps, slowest first; empty where nobody typed them, [rpm] [A]."""
    return sorted((spin.value, amps.value) for spin, amps in job.electrical.alternator_curve)
