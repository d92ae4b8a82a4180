"""Lists of a packet: rows for its tables, and CSV that no spreadsheet will run.

csv_bytes      a list as a file
hole_rows      openings and holes of a flat
bend_rows      bends of a flat
bought_rows    spacers and strip by length
cut_rows       flats as a cutter quotes them
gap_rows       smallest gaps in space
wire_rows      every wire to cut
circuit_rows   what feeds each fan
setting_rows   when fans start and stop
bill_rows      what it costs
hardware_rows  what holds, seals and guards the shroud
weld_rows      what is welded, in order
"""

import csv
import io
import math
from collections.abc import Sequence

from shroudwright.bench.arcs import Circle, box
from shroudwright.control.settings import Settings
from shroudwright.drawing.gaps import Gap
from shroudwright.drawing.words import degrees_words, length_words
from shroudwright.metal.flat import Flat, Opening, cut_length, metal_area
from shroudwright.metal.hardware import Item
from shroudwright.metal.welds import Line
from shroudwright.price.bill import Bill
from shroudwright.speech import Dialect
from shroudwright.wiring.circuits import FanCircuit
from shroudwright.wiring.sizing import Sized

Rows = list[tuple[str, ...]]
WIRE_HEADS = ("no.", "from", "to", "size", "colour", "length", "cut at", "amps", "terminals", "runs through")
CUT_HEADS = ("part", "cut", "wide", "high", "thick", "cut length", "pierces", "bends", "weighs each")
BILL_HEADS = ("part", "quantity", "unit", "each", "total", "source")
HARDWARE_HEADS = ("part", "size", "where", "number or length", "hole", "weight")
WELD_HEADS = ("no.", "joint", "length", "process", "rod", "amps", "tacks", "throat", "finish")
_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def safe_cell(words: str) -> str:
    """Return a cell that a spreadsheet shows as text: an apostrophe goes before whatever would start a formula."""
    return f"'{words}" if words.startswith(_STARTS_A_FORMULA) else words


def csv_bytes(heads: tuple[str, ...], rows: Rows) -> bytes:
    """Return a list as a CSV file.

    Parameters
    ----------
    heads : tuple of str
        Column heads.
    rows : list of tuple of str
        Cells.

    Returns
    -------
    bytes
        UTF-8, every cell safe.
    """
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows([[safe_cell(cell) for cell in row] for row in (heads, *rows)])
    return out.getvalue().encode()


def hole_rows(flat: Flat, units: str) -> Rows:
    """Return openings and holes of a flat: number, purpose, place from the lower left corner, diameter or width by
    height."""
    openings = [("", _purpose(o), o.middle, _sizes(o)) for o in flat.openings]
    holes = [(str(h.number), h.purpose, (h.x, h.y), (h.diameter,)) for h in flat.holes]
    return [
        (
            number,
            purpose,
            *(length_words(at, units, is_bare=True) for at in place),
            " x ".join(length_words(size, units, is_bare=True) for size in sizes),
        )
        for number, purpose, place, sizes in (*openings, *holes)
    ]


def cut_rows(flats: Sequence[Flat], density: float, units: str) -> Rows:
    """Return what a cutter quotes by, under `CUT_HEADS`; weights of one, kerf not counted."""
    per_weight, places = (1.0 / 0.45359237, 2) if units == "in" else (1.0, 3)
    rows = []
    for flat in flats:
        around = box(flat.outline)
        path = cut_length(flat) + sum(math.pi * hole.diameter for hole in flat.holes)
        weight = metal_area(flat) * flat.thickness * density * per_weight
        rows.append(
            (
                flat.name,
                str(flat.quantity),
                *(length_words(side, units) for side in (around.x2 - around.x1, around.y2 - around.y1, flat.thickness)),
                length_words(path, units),
                str(1 + len(flat.openings) + len(flat.holes)),
                str(len(flat.bends)),
                f"{weight:.{places}f} {'lb' if units == 'in' else 'kg'}",
            )
        )
    return rows


def gap_rows(found: Sequence[Gap], units: str) -> Rows:
    """Return the smallest gaps in space: between what, how far, and where on the metal."""
    return [
        (
            " and ".join(gap.between),
            length_words(_plain(gap.gap), units)
            if _plain(gap.gap) >= 0.0
            else f"meets by {length_words(-gap.gap, units)}",
            "-" if gap.where is None else ", ".join(length_words(_plain(at), units, is_bare=True) for at in gap.where),
        )
        for gap in found
    ]


def _plain(length: float) -> float:
    """Write nothing without a sign."""
    return length if abs(length) >= 5e-6 else 0.0


def _purpose(opening: Opening) -> str:
    """Say of a slot that it is one; a slot's own name may say so already."""
    is_slotted = opening.bolt and not isinstance(opening.shape, Circle) and opening.name != "slot"
    return f"{opening.name}, slotted" if is_slotted else opening.name


def _sizes(opening: Opening) -> tuple[float, ...]:
    around = opening.box
    wide, high = around.x2 - around.x1, around.y2 - around.y1
    return (wide,) if isinstance(opening.shape, Circle) else (wide, high)


def bend_rows(flat: Flat, units: str) -> Rows:
    """Return bends of a flat: number, angle turned, direction, inside radius, allowance, deduction, where its line
    starts and ends."""
    return [
        (
            f"B{b.number}",
            degrees_words(b.angle),
            b.direction,
            *(length_words(size, units, is_bare=True) for size in (b.radius, b.allowance, b.deduction)),
            *(
                ", ".join(length_words(size, units, is_bare=True) for size in end)
                for end in ((b.x1, b.y1), (b.x2, b.y2))
            ),
        )
        for b in flat.bends
    ]


def bought_rows(bought: tuple[tuple[str, int, float], ...], units: str) -> Rows:
    """Return what is cut from bar, tube or strip: what, how many, how long."""
    return [(name, str(count), length_words(size, units)) for name, count, size in bought]


def wire_rows(wires: tuple[Sized, ...], units: str) -> Rows:
    """Return every wire to cut, under `WIRE_HEADS`; lengths to the inch or the centimetre."""
    return [
        (
            str(wire.number),
            wire.begins,
            wire.ends,
            wire.size,
            wire.colour,
            *(
                f"{length / 0.0254:.0f} in" if units == "in" else f"{100.0 * length:.0f} cm"
                for length in (wire.length, wire.cut)
            ),
            f"{wire.amps:.1f}",
            wire.terminals,
            wire.segment,
        )
        for wire in wires
    ]


def circuit_rows(circuits: tuple[FanCircuit, ...], *, has_relays: bool = True) -> Rows:
    """Return each fan's amps, fuse, relay, gauges, what the wire carries in its worst stretch, and volts."""
    return [
        (
            circuit.name,
            *(f"{amps:.0f}" for amps in (circuit.working_amps, circuit.highest_amps, circuit.start_amps)),
            f"{circuit.fuse_rating:.0f} A, {'large' if circuit.fuse_kind == 'E' else 'standard'} blade"
            + (" (150 % rule)" if circuit.needs_150_rule else ""),
            _relay(circuit) if has_relays else "module",
            f"{circuit.supply_gauge:.0f} / {circuit.ground_gauge:.0f}",
            f"{circuit.supply_ampacity:.0f} A",
            f"{circuit.drop:.2f}",
            f"{circuit.volts_at_fan:.1f}",
        )
        for circuit in circuits
    ]


def _relay(circuit: FanCircuit) -> str:
    return f"{circuit.relay_rating:.0f} A" if circuit.relay_count else "none kept is enough"


def setting_rows(settings: Settings, shop: Dialect) -> Rows:
    """Return when fans start and stop, at their own sensor."""
    stages = [("fan 1", settings.fan_on, settings.fan_off)]
    if settings.second_on is not None and settings.second_off is not None:
        stages.append(("fan 2", settings.second_on, settings.second_off))
    rows = [(name, shop.temperature_text(on), shop.temperature_text(off)) for name, on, off in stages]
    return [*rows, ("alarm", shop.temperature_text(settings.alarm), "-")]


def bill_rows(bill: Bill) -> Rows:
    """Return every line of the bill, under `BILL_HEADS`, in its own currency."""
    return [
        (line.part, f"{line.quantity.normalize():f}", line.unit, f"{line.each:,.2f}", f"{line.total:,.2f}", line.source)
        for line in bill.lines
    ]


def hardware_rows(items: tuple[Item, ...], units: str) -> Rows:
    """Return every line of the hardware list, under `HARDWARE_HEADS`; strips by their length."""
    return [
        (
            item.part,
            item.size,
            item.where,
            length_words(item.length, units) if item.length else str(item.number),
            length_words(item.hole, units) if item.hole else "",
            f"{1e3 * item.weight:.0f} g" if units == "mm" else f"{item.weight / 0.0283495:.1f} oz",
        )
        for item in items
    ]


def weld_rows(lines: tuple[Line, ...], units: str) -> Rows:
    """Return every line of the weld list, under `WELD_HEADS`; amps to start from, least throat, tacks of one weld."""
    return [
        (
            str(line.number),
            f"{line.joint.name}, {line.joint.kind}" + (", right through" if line.joint.is_full else ""),
            (f"{line.joint.times} x " if line.joint.times > 1 else "") + length_words(line.joint.length, units),
            line.process,
            f"{line.filler or 'none joins them'}, {length_words(line.rod, units)}",
            f"{line.amps[0]:.0f} to {line.amps[1]:.0f}",
            str(line.tacks),
            length_words(line.throat, units),
            line.finish,
        )
        for line in lines
    ]
