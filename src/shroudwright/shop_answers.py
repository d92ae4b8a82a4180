"""A plan as part of the assessment's record.

answers_of
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.assessment import (
    Band,
    BendingAnswer,
    BudgetAnswer,
    CircuitAnswer,
    FlatAnswer,
    HoseAnswer,
    PlumbingAnswer,
    PriceAnswer,
    PumpAnswer,
    SettingsAnswer,
    ShroudAnswer,
    StepAnswer,
    TierAnswer,
)
from shroudwright.bench.arcs import box
from shroudwright.plan import Plan
from shroudwright.plumbing_flow import spread
from shroudwright.plumbing_plan import Plumbed
from shroudwright.shop_words import ways_said
from shroudwright.tiers import Tier
from shroudwright.uncertain.bands import band


def answers_of(plan: Plan, unmeasured: Sequence[str]) -> dict[str, Any]:
    """Return a plan's part of the assessment, by field.

    Parameters
    ----------
    plan : Plan
        What the shop makes and buys.
    unmeasured : sequence of str
        What keeps the cut files a trial.

    Returns
    -------
    dict
        shroud, flats, plumbing, wiring, budgets, settings, tiers and price.
    """
    shroud, face = plan.shroud, plan.face
    shape = shroud.shape if shroud else None
    return {
        "shroud": None
        if shroud is None
        else ShroudAnswer(
            family=shroud.family,
            metal=shroud.metal,
            thickness=shroud.thickness,
            roll_radius=shape.roll_radius if shape else None,
            roll_angle=shape.angle if shape else None,
            flat_face=shape.face if shape else None,
            developed_length=shape.length if shape else None,
            weight=shroud.weight,
            hardware_weight=sum(item.weight for item in plan.hardware),
            weld_length=plan.welds.length if plan.welds else 0.0,
            face_frequency=face.frequency if face else None,
            face_stress_share=face.fatigue_share if face else None,
            face_buckling_rise=face.buckling_rise if face else None,
            trial=plan.is_trial,
            unmeasured=list(unmeasured),
        ),
        "bending": _bending(plan),
        "flats": [] if shroud is None else [_flat(flat) for flat in shroud.flats],
        "plumbing": None if plan.plumbing is None else _plumbing(plan.plumbing),
        "wiring": [
            CircuitAnswer(
                fan=circuit.name,
                working_amps=circuit.working_amps,
                highest_amps=circuit.highest_amps,
                start_amps=circuit.start_amps,
                supply_gauge=circuit.supply_gauge,
                ground_gauge=circuit.ground_gauge,
                fuse_kind=circuit.fuse_kind,
                fuse_rating=circuit.fuse_rating,
                fuse_over_ampacity=circuit.needs_150_rule,
                relay_rating=circuit.relay_rating,
                drop=circuit.drop,
                path_resistance=circuit.path_resistance,
            )
            for circuit in plan.fed
        ],
        "budgets": [
            BudgetAnswer(
                case=budget.case,
                engine_rpm=budget.engine_rpm,
                makes=_band(budget.makes),
                takes=_band(budget.takes),
                fans=sum(budget.fans.values()),
                left=_band(budget.left),
                ways=ways_said(budget.ways) if budget.ways else [],
            )
            for budget in plan.budgets
        ],
        "settings": None
        if plan.settings is None
        else SettingsAnswer(
            fan_on=plan.settings.fan_on,
            fan_off=plan.settings.fan_off,
            second_on=plan.settings.second_on,
            second_off=plan.settings.second_off,
            alarm=plan.settings.alarm,
            percent_start=plan.settings.line.start if plan.settings.line else None,
            percent_full=plan.settings.line.full if plan.settings.line else None,
        ),
        "tiers": [_tier(tier) for tier in plan.tiers],
        "price": None
        if plan.bill is None
        else PriceAnswer(
            parts=str(plan.bill.parts),
            labour=str(plan.bill.labour),
            total=str(plan.bill.total),
            currency=plan.bill.currency,
        ),
    }


def _bending(plan: Plan) -> BendingAnswer | None:
    made = plan.bending
    if made is None:
        return None
    return BendingAnswer(
        neutral_tight=made.neutral[0],
        neutral_roll=made.neutral[1],
        neutral_source=made.source,
        trapped=list(made.trapped),
        steps=[
            StepAnswer(
                flat=step.flat,
                bend=step.bend.number,
                number=step.number,
                under_the_beam=step.side_in,
                outer_face="down" if step.is_turned_over else "up",
                former_radius=step.former,
                former_angle=step.former_angle,
                hits=step.hits,
            )
            for step in made.steps
        ],
    )


def _tier(tier: Tier) -> TierAnswer:
    return TierAnswer(
        scheme=tier.scheme.name,
        chosen=tier.is_chosen,
        gives_up=tier.scheme.gives_up,
        parts=str(tier.parts),
        currency=tier.currency,
        amps_low=tier.amps_low,
        amps_full=tier.amps_full,
        noise_low=tier.noise_low,
        noise_full=tier.noise_full,
    )


def _band(draws: NDArray[np.float64]) -> Band:
    found = band(draws[1:])
    assert found is not None
    return Band(value=found.value, low=found.low, high=found.high)


def _spread(draws: NDArray[np.float64]) -> Band:
    return Band(**spread(draws)._asdict())


def _plumbing(laid: Plumbed) -> PlumbingAnswer:
    return PlumbingAnswer(
        system_volume=laid.system_volume,
        hot=laid.hot,
        expansion=laid.sums.expansion,
        surge_tank=laid.surge_tank,
        recovery_bottle=laid.recovery_bottle,
        cap_place=laid.facts.cap_place,
        inlet_cap_left=_spread(laid.margins.static_left),
        pump_inlet_margin=_spread(laid.margins.held),
        pump_inlet_margin_open=_spread(laid.margins.open),
        heater_relief=None if laid.relief is None else _spread(laid.relief.degrees),
        pump=[
            PumpAnswer(
                engine_rpm=turn.engine_rpm,
                flow=_spread(turn.flow),
                past=_spread(turn.past),
                core_drop=_spread(turn.core_drop),
                hose_drop=_spread(turn.hose_drop),
                inlet_tank_over_pump=_spread(turn.core_drop + turn.suction_drop),
            )
            for turn in laid.turns
        ],
        hoses=[
            HoseAnswer(
                number=row.line.number,
                name=row.code,
                way=row.line.way,
                bore=row.bore,
                length=row.length,
                lost=row.lost,
            )
            for row in laid.laid
        ],
    )


def _flat(flat: Any) -> FlatAnswer:
    left, low, right, high = box(flat.outline)
    return FlatAnswer(
        name=flat.name,
        quantity=flat.quantity,
        width=right - left,
        height=high - low,
        openings=len(flat.openings),
        holes=len(flat.holes),
        bends=len(flat.bends),
    )
