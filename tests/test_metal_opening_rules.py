"""Rules of holes and openings: quiet on a sound flat, firing on their own fault; a blank fitted out."""

import math
from typing import Any

import pytest

from shroudwright.bench.arcs import Circle, Vertex, area, box, contains, distance, length, moved, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.metal.cutouts import flap_windows, mount_pattern
from shroudwright.metal.fitted import Extra, FanCut, fitted, flaps_of, seats_of
from shroudwright.metal.flat import BendLine, Flat, Hole, Opening
from shroudwright.metal.opening_rules import Flap, Look, Pocket, Seat, bolt_findings, opening_findings
from shroudwright.metal.openings import lobed

INCH = 0.0254
T = 0.08 * INCH
MOUNTS = mount_pattern(4, 16.0 * INCH, 0.25 * INCH)


def hole(number: int, x: float, y: float, d: float, purpose: str) -> Hole:
    return Hole(number, x * INCH, y * INCH, d * INCH, purpose)


def at(shape: Any, x: float, y: float) -> Any:
    return moved(shape, x * INCH, y * INCH)


def fan(code: str, x: float, y: float) -> Seat:
    return Seat(code, x * INCH, y * INCH, 12.0 * INCH, 4.8 * INCH, 13.0 * INCH, MOUNTS)


SEATS = (fan("F1", 8.0, 10.0), fan("F2", 22.0, 10.0))
BENDS = (
    BendLine(1, 0.0, 0.7 * INCH, 30.0 * INCH, 0.7 * INCH, 1.5, 0.125 * INCH, "up", 0.25 * INCH, 0.1 * INCH),
    BendLine(2, 0.0, 2.0 * INCH, 30.0 * INCH, 2.0 * INCH, 1.5, 0.75 * INCH, "down", 1.2 * INCH, 0.5 * INCH),
)


def flat(**changes: Any) -> Flat:
    """Two 12 in fans on a 30 x 20 in sheet, a flange and a roll along its lower edge."""
    holes = [Hole(0, seat.x + x, seat.y + y, d, f"{seat.code} mount") for seat in SEATS for x, y, d in seat.holes] + [
        hole(0, 15.0, 17.0, 0.75, "grommet")
    ]
    made = Flat(
        name="plate",
        outline=rectangle(30.0 * INCH, 20.0 * INCH),
        openings=tuple(Opening(Circle(seat.x, seat.y, 6.15 * INCH), seat.code) for seat in SEATS),
        holes=tuple(item._replace(number=number) for number, item in enumerate(holes, start=1)),
        bends=BENDS,
        etch_lines=(),
        etch_texts=(),
        thickness=T,
        quantity=1,
    )
    more = changes.pop("holes", ())
    openings = changes.pop("openings", ())
    values = {**made.__dict__, "holes": made.holes + tuple(more), "openings": made.openings + tuple(openings)}
    return Flat(**{**values, **changes})


def look(part: Flat | None = None, **changes: Any) -> Look:
    return opening_findings(part or flat(), **{"seats": SEATS, "has_wires": True, **changes})


@pytest.mark.behaviour("a sound flat with everything on it draws no finding")
def test_quiet() -> None:
    everything = flat(
        holes=[hole(20, 3.0, 2.0, 0.3125, "drain"), hole(21, 15.0, 4.0, 0.75, "pass-through")],
        openings=[Opening(at(rectangle(2.0 * INCH, 1.5 * INCH, 0.25 * INCH), 14.0, 18.0), "access")],
    )
    made = look(
        everything,
        loom=0.6 * INCH,
        flaps=[Flap("flap", flap_windows(15.0 * INCH, 2.9 * INCH, 2.5 * INCH, 0.2 * INCH), 0.25 * INCH)],
        pockets=[Pocket("lower wall", rectangle(30.0 * INCH, 2.6 * INCH))],
        edge_trim=0.1 * INCH,
        cutter="plasma",
    )
    assert made == ((), ())


@pytest.mark.behaviour("each rule fires on the fault it is about, with what was measured, the limit and the place")
@pytest.mark.parametrize(
    ("part", "changes", "code", "measured", "limit", "place", "stops"),
    [
        (flat(holes=[hole(99, 15.0, 1.0, 0.2, "bolt")]), {}, "O01", 0.075, 0.08, "hole 99, bolt", True),
        (flat(holes=[hole(99, 15.0, 2.85, 0.26, "bolt")]), {}, "O01", 0.12, 0.16, "hole 99, bolt", False),
        (flat(holes=[hole(99, 15.0, 2.0, 0.2, "bolt")]), {}, "O02", -0.7, 0.0, "hole 99, bolt", True),
        (flat(holes=[hole(99, 15.0, 2.0, 0.3, "pass-through")]), {}, "O01", -0.75, 0.0, "hole 99, pass-through", False),
        (flat(holes=[hole(99, 15.0, 0.7, 0.3, "drain")]), {}, "O01", -0.275, 0.0, "hole 99, drain", True),
        (
            flat(openings=[Opening(at(rectangle(2.0 * INCH, 1.0 * INCH), 14.0, 2.7), "access")]),
            {}, "O01", 0.1, 0.16, "opening 3, access", False,
        ),
        (flat(holes=[hole(99, 29.72, 15.0, 0.25, "bolt")]), {}, "O03", 0.28, 0.3, "hole 99, bolt", True),
        (flat(holes=[hole(99, 29.55, 15.0, 0.25, "bolt")]), {}, "O03", 0.45, 0.5, "hole 99, bolt", False),
        (
            flat(openings=[Opening(at(rectangle(2.0 * INCH, 1.0 * INCH), 14.0, 18.9), "access")]),
            {}, "O03", 0.1, 0.16, "opening 3, access", True,
        ),
        (
            flat(openings=[Opening(at(lobed(4, INCH, INCH, 0.5 * INCH), 15.0, 16.0), "access")],
                 holes=[hole(99, 15.0, 18.2, 0.25, "bolt")]),
            {}, "O04", 0.075, 0.16, "hole 99, bolt", True,
        ),
        (flat(holes=[hole(99, 14.2, 10.0, 0.02, "pilot")]), {}, "O04", 0.04, 0.16, "hole 99, pilot", True),
        (None, {"seats": (SEATS[0]._replace(frame=12.2 * INCH), SEATS[1])}, "O05", 12.3, 12.2, "F1", True),
        (
            flat(holes=[hole(99, 15.0, 4.0, 0.1, "pilot")]), {"cutter": "plasma"},
            "O07", 0.1, 0.16, "hole 99, pilot", False,
        ),
        (flat(holes=[hole(99, 15.0, 4.0, 0.06, "pilot")]), {}, "O07", 0.06, 0.08, "hole 99, pilot", False),
        (
            flat(openings=[Opening(at(rectangle(INCH, INCH, 0.1 * INCH), 14.0, 18.0), "access")]),
            {"cutter": "router"}, "O07", 0.1, 0.125, "access", False,
        ),
        (None, {"seats": (SEATS[0]._replace(holes=()), SEATS[1])}, "O08", 0.0 / INCH, 1.0 / INCH, "F1", False),
        (None, {"seats": (SEATS[0]._replace(motor=12.2 * INCH), SEATS[1])}, "O09", 12.3, 12.45, "F1", True),
        (flat(holes=()), {"loom": 0.7 * INCH}, "O10", 0.75, 0.84, "wires", False),
        (None, {"edge_trim": 0.25 * INCH}, "O11", 11.8, 12.0, "F1", False),
        (
            None,
            {"flaps": [Flap("flap", flap_windows(15.0 * INCH, 3.0 * INCH, INCH, INCH), 0.2 * INCH)]},
            "O12", 0.2, 0.25, "flap, overlap", True,
        ),
        (
            None,
            {"flaps": [Flap("flap", (at(rectangle(4.0 * INCH, INCH), 13.0, 2.6),), 0.25 * INCH)]},
            "O12", 4.0, 3.0, "flap, free span", False,
        ),
        (
            None,
            {"flaps": [Flap("flap", (at(rectangle(2.0 * INCH, INCH), 7.0, 16.0),), 0.25 * INCH)]},
            "O12", 5.75 - 6.5, 0.0, "flap and F1", True,
        ),
        (None, {"pockets": [Pocket("lower wall", rectangle(INCH, INCH))]}, "O13", 0.0, 1.0 / INCH, "lower wall", False),
        (
            flat(holes=[hole(99, 0.3, 15.0, 0.25, "bolt")]), {"trim": 0.5 * INCH},
            "O14", -0.325, 0.0, "hole 99, bolt", False,
        ),
        (None, {"seats": (SEATS[0], SEATS[1]._replace(x=22.05 * INCH))}, "O16", 0.05, 0.03125, "F2", True),
        (None, {"seats": (SEATS[0]._replace(blade=12.9 * INCH), SEATS[1])}, "O17", None, None, "F1", False),
    ],
)  # fmt: skip
def test_fires(
    part: Flat | None, changes: dict[str, Any], code: str, measured: float, limit: float, place: str, stops: bool
) -> None:
    made = look(part, **changes)
    found = [finding for finding in made.findings if (finding.code, finding.place) == (code, place)]
    assert len(found) == 1, made.findings
    assert (found[0] in made.stops) == stops
    if measured is not None:
        assert found[0].measured / INCH == pytest.approx(measured, abs=1e-6)
        assert found[0].limit / INCH == pytest.approx(limit, abs=1e-6)


@pytest.mark.by_hand("a ring of blade 12.9 and hub 4.8 under a 12.3 hole: (12.3^2 - 4.8^2) / (12.9^2 - 4.8^2)")
def test_throttled() -> None:
    made = look(seats=(SEATS[0]._replace(blade=12.9 * INCH), SEATS[1]))
    found = next(finding for finding in made.findings if finding.code == "O17")
    assert found.measured == pytest.approx((12.3**2 - 4.8**2) / (12.9**2 - 4.8**2))
    assert found.limit == 0.95


@pytest.mark.behaviour("no grommet stops it; without wires nothing is said; lobes with sharp necks stop it")
def test_grommet_and_necks() -> None:
    bare = flat()
    bare = Flat(**{**bare.__dict__, "holes": bare.holes[:-1]})
    assert [(f.code, f.measured) for f in look(bare).stops] == [("O10", 0.0)]
    assert look(bare, has_wires=False).findings == ()
    sharp = at(lobed(4, 3.0 * INCH, 3.15 * INCH, 0.25 * INCH), 8.0, 10.0)
    made = look(Flat(**{**flat().__dict__, "openings": (Opening(sharp, "F1"), flat().openings[1])}))
    assert [(f.code, round(f.measured / INCH, 6)) for f in made.stops] == [("O06", 0.25)]
    assert "O17" in {f.code for f in made.findings}


@pytest.mark.practice("3/4 in between two fans' openings; two thicknesses between any others")
def test_webs() -> None:
    near = Flat(
        **{
            **flat().__dict__,
            "openings": (flat().openings[0], Opening(Circle(20.8 * INCH, 10.0 * INCH, 6.15 * INCH), "F2")),
        }
    )
    made = look(near, seats=(SEATS[0], SEATS[1]._replace(x=20.8 * INCH, holes=())))
    assert ("O04", False) in {(f.code, f in made.stops) for f in made.findings}
    pair = [Opening(Circle(x * INCH, 18.0 * INCH, 0.2 * INCH), "window") for x in (14.0, 14.6)]
    assert "O04" not in {f.code for f in look(flat(openings=pair)).findings}


@pytest.mark.by_hand("a bolt of 1 in through 1/2 in with 3/8 in behind is 1/8 in too long")
def test_bolts_at_the_core() -> None:
    assert bolt_findings(1.0, 0.5, 0.375) == (("F12", 1.0, 0.875, "flange bolts"),)
    assert bolt_findings(0.875, 0.5, 0.375) == ()


CUTS = tuple(FanCut(seat.code, seat.blade, "round", 0.0, seat.hub, seat.frame, seat.holes) for seat in SEATS)


@pytest.mark.behaviour("fitted out, nothing asked, a flat stays as it was")
def test_nothing_asked() -> None:
    assert fitted(flat(), CUTS) == flat()
    assert seats_of(flat(), CUTS) == SEATS


@pytest.mark.behaviour("lobes stand between the mounts and draw no finding of the opening")
def test_lobed_fan() -> None:
    made = fitted(flat(), [CUTS[0]._replace(kind="lobed"), CUTS[1]])
    shape = made.openings[0].outline
    assert len(shape) == 8
    assert look(made, seats=seats_of(flat(), CUTS)).findings == ()
    necks = [distance(shape, SEATS[0].x + x, SEATS[0].y + y) for x, y, _ in MOUNTS]
    assert min(necks) > 8.0 * INCH - 6.15 * INCH + 0.05 * INCH
    assert area(shape) < math.pi * (6.15 * INCH) ** 2
    lipped = CUTS[0]._replace(kind="lobed", lip=0.3 * INCH)
    under = fitted(flat(), [lipped, CUTS[1]], lip_radius=0.125 * INCH).openings[0]
    assert under.bends_from is not None
    assert area(under.outline) < area(seats_of(flat(), [lipped], 0.125 * INCH)[0].clear) < area(under.bends_from)  # type: ignore[arg-type]
    with pytest.raises(InputError, match=r"F1: lip: 1\.000 in high it splits at curves of 4\.479 in radius"):
        fitted(flat(), [lipped._replace(lip=INCH)], lip_radius=0.125 * INCH)


@pytest.mark.by_hand("a lip of 1/2 in, r 1/8, t 0.08: hole as `flared_hole`, flat from D/2 + t + r outwards")
def test_lip() -> None:
    cuts = [CUTS[0]._replace(lip=0.5 * INCH), CUTS[1]]
    made = fitted(flat(), cuts, lip_radius=0.125 * INCH)
    laid = 0.5 * math.pi * 0.165 + 0.5 - 0.205
    assert made.openings[0].shape.radius / INCH == pytest.approx(6.15 + 0.205 - laid)  # type: ignore[union-attr]
    assert made.openings[0].bends_from.radius / INCH == pytest.approx(6.355)  # type: ignore[union-attr]
    assert look(made, seats=seats_of(flat(), cuts, 0.125 * INCH)).findings == ()
    with pytest.raises(InputError, match=r"F1: lip: 0\.100 in is lower than its bend"):
        fitted(flat(), [CUTS[0]._replace(lip=0.1 * INCH)], lip_radius=0.125 * INCH)


@pytest.mark.behaviour("every purpose lands on the flat: holes numbered on, the grommet moved, ears, hinge marked")
def test_extras() -> None:
    extras = [
        Extra("access", 15.0 * INCH, 18.5 * INCH, width=2.0 * INCH, height=INCH),
        Extra("access", 28.0 * INCH, 18.0 * INCH, diameter=INCH, name="cap"),
        Extra("drain", 3.0 * INCH, 2.0 * INCH),
        Extra("pass-through", 15.0 * INCH, 4.5 * INCH, diameter=0.75 * INCH, name="trans line"),
        Extra("grommet", 15.0 * INCH, 6.0 * INCH, diameter=0.875 * INCH),
        Extra("mount", 12.0 * INCH, 20.3 * INCH, diameter=0.25 * INCH),
        Extra("flap", 15.0 * INCH, 3.2 * INCH, width=8.0 * INCH, height=0.6 * INCH, bars=2),
        Extra("lightening", 1.0 * INCH, 17.0 * INCH, diameter=0.5 * INCH, width=1.0 * INCH, height=2.0 * INCH),
    ]
    made = fitted(flat(), CUTS, extras)
    assert [item.number for item in made.holes] == list(range(1, len(made.holes) + 1))
    assert [item.purpose for item in made.holes[8:]] == ["grommet", "drain", "pass-through, trans line", "mount"]
    assert made.holes[8].y == pytest.approx(6.0 * INCH)
    names = [item.name for item in made.openings]
    assert names == ["F1", "F2", "access", "cap", "flap", "flap", "flap", "lightening", "lightening"]
    mount = made.holes[-1]
    assert contains(made.outline, mount.x, mount.y)
    assert distance(made.outline, mount.x, mount.y) == pytest.approx(2.0 * mount.diameter)
    assert box(made.outline).y2 == pytest.approx(20.8 * INCH)
    assert made.etch_texts[-1].text == "FLAP HINGE"
    assert made.etch_lines[-1].y1 == pytest.approx((3.2 + 0.3 + 0.3125) * INCH)
    assert len(flaps_of(extras)[0].windows) == 3
    assert length(made.outline) > length(flat().outline)


@pytest.mark.behaviour("what cannot be fitted is named, all together, with what to type")
def test_refusals() -> None:
    extras = [
        Extra("access", 1.0, 1.0),
        Extra("pass-through", 1.0, 1.0),
        Extra("mount", 0.1 * INCH, 20.2 * INCH, diameter=0.25 * INCH),
    ]
    with pytest.raises(InputError) as caught:
        fitted(flat(), CUTS, extras)
    assert [fault.partition(":")[0] for fault in caught.value.faults][:2] == ["access", "pass-through"]
    assert "past the corner" in caught.value.faults[2]


@pytest.mark.law("a closed line cut by a router: only its inside corners count")
def test_router_corners() -> None:
    square = flat(openings=[Opening(at(rectangle(INCH, INCH), 14.0, 18.0), "access")])
    made = look(square, cutter="router")
    assert [(f.code, f.measured, f.place) for f in made.findings] == [("O07", 0.0, "access")]
    corners = ((0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (15.0, 20.0), (15.0, 19.0), (0.0, 19.0))
    notched = tuple(Vertex(x * INCH, y * INCH) for x, y in corners)
    made = look(flat(outline=notched), cutter="router")
    assert [(f.code, f.measured, f.place) for f in made.findings] == [("O07", 0.0, "plate")]
