"""A flat as DXF: one file that is cut, one that is read. R2010, full size, z 0, the same bytes every time.

cut_dxf        outline, openings, holes and bend lines, nothing else
drawing_dxf    the same with marks, hole numbers, bend table and a check square
file_stem      a name that carries part, material, thickness, quantity and TRIAL
lint           faults of a file that a cutting service would trip over
"""

import io
import math
import os
import re
import threading
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.layout import Modelspace

from shroudwright.bench.arcs import Circle, Outline, Vertex, area, box, circle_outline, length
from shroudwright.drawing.faults import ExportFault
from shroudwright.drawing.flat_picture import hole_label
from shroudwright.drawing.words import bend_words, length_words
from shroudwright.metal.flat import Flat

CUT_LAYERS = ("CUT", "CUT_INNER", "BEND")
DRAWING_LAYERS = (*CUT_LAYERS, "ETCH", "REF")
_COLOURS = {"CUT": 7, "CUT_INNER": 5, "BEND": 3, "ETCH": 6, "REF": 8}
_PER_METRE = {"in": 1.0 / 0.0254, "mm": 1e3}
_INSUNITS = {"in": 1, "mm": 4}
_CHECK_SQUARE = {"in": 2.0, "mm": 50.0}
NET_SIZE = "net sizes: not kerf compensated"
_SAME = 1e-6
"""Drawing units within which two things are the same."""
_THOUSANDTH = 0.001 * 0.0254
_fixed = threading.Lock()


def file_stem(flat: Flat, material: str, units: str, *, is_trial: bool) -> str:
    """Return the start of a flat's file names.

    Parameters
    ----------
    flat : Flat
        The part.
    material : str
        Its name, [text]
    units : str
        ``in`` or ``mm``, [text]
    is_trial : bool
        Whether what it was drawn from is not measured in hand.

    Returns
    -------
    str
        Letters, digits, dots, dashes and underscores only.
    """
    thickness = f"{flat.thickness * _PER_METRE[units]:.3f}in" if units == "in" else f"{1e3 * flat.thickness:.2f}mm"
    words = [flat.name, material, thickness, f"qty{flat.quantity}"]
    safe = [re.sub(r"[^A-Za-z0-9.]+", "-", word).strip("-.")[:40] or "part" for word in words]
    return ("TRIAL_" if is_trial else "") + "_".join(safe)


def cut_dxf(flat: Flat, units: str) -> bytes:
    """Return the file that is cut: layers CUT, CUT_INNER and BEND, no text.

    Parameters
    ----------
    flat : Flat
        The part, seen from the face the bends are named from.
    units : str
        ``in`` or ``mm``, [text]

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    ExportFault
        Where the file, read back, is not the part.
    """
    with _new(units, CUT_LAYERS) as document:
        _cut(document.modelspace(), flat, _PER_METRE[units])
        return _checked(_bytes(document), flat, units, is_cut=True)


def drawing_dxf(flat: Flat, units: str, notes: tuple[str, ...]) -> bytes:
    """Return the file that is read: the cut file with marks, numbers, notes, bend table and a check square.

    Parameters
    ----------
    flat : Flat
        The part.
    units : str
        ``in`` or ``mm``, [text]
    notes : tuple of str
        Lines set under the flat.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    ExportFault
        Where the file, read back, is not the part.
    """
    k = _PER_METRE[units]
    with _new(units, DRAWING_LAYERS) as document:
        space = document.modelspace()
        _cut(space, flat, k)
        left, bottom, right, _ = box(flat.outline)
        height = max(0.008 * (right - left), 0.003)
        for line in flat.etch_lines:
            space.add_line((k * line.x1, k * line.y1), (k * line.x2, k * line.y2), dxfattribs={"layer": "ETCH"})
        for mark in flat.etch_texts:
            _text(space, mark.text, k * mark.x, k * mark.y, k * mark.height, "ETCH", turn=math.degrees(mark.angle))
        for hole in flat.holes:
            label = hole_label(hole, flat, height)
            _text(space, label.words, k * label.x, k * label.y, k * height, "REF", is_end=label.anchor == "end")
        for bend in flat.bends:
            _text(space, f"B{bend.number}", k * (bend.x2 + height), k * (bend.y2 - height / 2), k * height, "REF")
        below = bottom - 3 * height
        table = (*notes, NET_SIZE, *(bend_words(bend, units) for bend in flat.bends))
        for row, words in enumerate(table):
            _text(space, words, k * left, k * (below - 2 * row * height), k * height, "REF")
        side, foot = _CHECK_SQUARE[units], k * (below - 2 * len(table) * height)
        corner = k * left
        square = [(corner, foot - side), (corner + side, foot - side), (corner + side, foot), (corner, foot)]
        space.add_lwpolyline(square, close=True, dxfattribs={"layer": "REF"})
        says = f"check square {length_words(side / k, units)}"
        _text(space, says, corner + 1.1 * side, foot - side, k * height, "REF")
        return _checked(_bytes(document), flat, units, is_cut=False)


@contextmanager
def _new(units: str, layers: tuple[str, ...]) -> Iterator[Drawing]:
    """Open an empty drawing whose dates and marks never change; its option is the library's, not the thread's."""
    with _fixed:
        before = ezdxf.options.write_fixed_meta_data_for_testing
        ezdxf.options.write_fixed_meta_data_for_testing = True
        try:
            document = ezdxf.new("R2010", units=_INSUNITS[units])
            document.header["$MEASUREMENT"] = 0 if units == "in" else 1
            dash = 0.01 * _PER_METRE[units]
            document.linetypes.add("DASHED", [1.5 * dash, dash, -0.5 * dash], description="Dashed __ __ __")
            for layer in layers:
                document.layers.add(
                    layer, color=_COLOURS[layer], linetype="DASHED" if layer == "BEND" else "Continuous"
                )
            yield document
        finally:
            ezdxf.options.write_fixed_meta_data_for_testing = before


def _bytes(document: Drawing) -> bytes:
    # The library would add these in the order of a set, another in every process.
    for kind in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(kind)
    out = io.StringIO()
    document.write(out)
    return document.encode(out.getvalue())


def _cut(space: Modelspace, flat: Flat, k: float) -> None:
    _outline(space, flat.outline, k, "CUT")
    for opening in flat.openings:
        if isinstance(opening.shape, Circle):
            x, y, radius = opening.shape
            space.add_circle((k * x, k * y), k * radius, dxfattribs={"layer": "CUT_INNER"})
        else:
            _outline(space, opening.shape, k, "CUT_INNER")
    for hole in flat.holes:
        space.add_circle((k * hole.x, k * hole.y), k * hole.diameter / 2, dxfattribs={"layer": "CUT_INNER"})
    for bend in flat.bends:
        space.add_line((k * bend.x1, k * bend.y1), (k * bend.x2, k * bend.y2), dxfattribs={"layer": "BEND"})


def _outline(space: Modelspace, outline: Outline, k: float, layer: str) -> None:
    corners = [(k * v.x, k * v.y, v.bulge) for v in outline]
    space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": layer})


def _text(
    space: Modelspace,
    words: str,
    x: float,
    y: float,
    height: float,
    layer: str,
    *,
    turn: float = 0.0,
    is_end: bool = False,
) -> None:
    """Write one line; control letters are left out and the format's own %% and ^ codes are taken apart."""
    plain = "".join(letter for letter in words if letter.isprintable()).replace("%%", "% %").replace("^", "^ ")
    text = space.add_text(plain, height=height, rotation=turn, dxfattribs={"layer": layer})
    text.set_placement((x, y), align=TextEntityAlignment.RIGHT if is_end else TextEntityAlignment.LEFT)


def lint(path: str | os.PathLike[str]) -> list[str]:
    """Say what a cutting service would trip over; the library's own audit sees none of it.

    Parameters
    ----------
    path : path
        Of the file; a name ending ``_cut.dxf`` is held to the stricter rules of a cut file.

    Returns
    -------
    list of str
        One line per fault; empty if there is none.
    """
    return _lint(ezdxf.readfile(path), is_cut=os.fspath(path).endswith("_cut.dxf"))


def _lint(document: Drawing, *, is_cut: bool) -> list[str]:
    faults = [] if document.header.get("$INSUNITS") in (1, 4) else ["the file names neither inches nor millimetres"]
    seen: Counter[tuple[object, ...]] = Counter()
    outsides = 0
    for thing in document.modelspace():
        faults += _faults_of(thing, is_cut)
        seen.update([_print_of(thing)])
        outsides += thing.dxf.layer == "CUT"
    faults += [f"drawn {count} times: {key[0]} on {key[1]}" for key, count in seen.items() if count > 1]
    if outsides != 1:
        faults.append(f"{outsides} outlines on CUT; one part has one")
    return faults


def _checked(data: bytes, flat: Flat, units: str, *, is_cut: bool) -> bytes:
    """Read a file back and hand it on only if it is the part."""
    document = ezdxf.read(io.StringIO(data.decode()))
    faults = [(_rule(line), line) for line in _lint(document, is_cut=is_cut)]
    faults += _not_the_part(document, flat, _PER_METRE[units])
    if not is_cut and not any(NET_SIZE in text.dxf.text for text in document.modelspace().query("TEXT")):
        faults.append(("D08", "the drawing does not say that its sizes are net"))
    if faults:
        raise ExportFault(min(code for code, _ in faults), [line for _, line in faults])
    return data


def _rule(line: str) -> str:
    if "neither inches" in line:
        return "D04"
    if "not a kind of line" in line or "not at z 0" in line:
        return "D03"
    return "D02" if "drawn" in line else "D05" if "layer" in line or "words" in line else "D01"


def _not_the_part(document: Drawing, flat: Flat, k: float) -> list[tuple[str, str]]:
    """Extents, areas and lengths as read against those of the part."""
    found: dict[str, list[Outline]] = {"CUT": [], "CUT_INNER": []}
    for thing in document.modelspace().query("LWPOLYLINE CIRCLE"):
        if thing.dxf.layer not in found:
            continue
        if thing.dxftype() == "CIRCLE":
            shape = circle_outline(Circle(thing.dxf.center.x, thing.dxf.center.y, thing.dxf.radius))
        else:
            shape = tuple(Vertex(*point) for point in thing.get_points("xyb"))  # type: ignore[attr-defined]
        found[thing.dxf.layer].append(shape)
    holes = [circle_outline(Circle(hole.x, hole.y, 0.5 * hole.diameter)) for hole in flat.holes]
    wanted = {"CUT": [flat.outline], "CUT_INNER": [*(item.outline for item in flat.openings), *holes]}
    faults = []
    for layer, outlines in wanted.items():
        for name, of, power in (("area", lambda one: abs(area(one)), 2), ("length", length, 1)):
            was, is_now = sum(map(of, outlines)) * k**power, sum(map(of, found[layer]))
            if abs(is_now - was) > _SAME * max(was, 1e-12):
                faults.append(("D13", f"{layer}: {name} reads {is_now:.6g}, designed {was:.6g}"))
    if found["CUT"]:
        apart = max(abs(a - k * b) for a, b in zip(box(found["CUT"][0]), box(flat.outline), strict=True)) / k
        if apart > _THOUSANDTH:
            faults.append(("D04", f"the outline lies {1e3 * apart:.3f} mm off"))
    return faults


def _faults_of(thing: DXFGraphic, is_cut: bool) -> list[str]:
    kind, layer = thing.dxftype(), thing.dxf.layer
    what, faults = f"{kind} on {layer}", []
    if layer not in (CUT_LAYERS if is_cut else DRAWING_LAYERS):
        faults.append(f"{what}: wrong layer")
    if is_cut and kind in ("TEXT", "MTEXT", "DIMENSION", "LEADER"):
        faults.append(f"{what}: words in a cut file")
    if kind not in ("LWPOLYLINE", "CIRCLE", "LINE", "TEXT"):
        faults.append(f"{what}: not a kind of line every service reads")
    elif layer in ("CUT", "CUT_INNER") and kind != "CIRCLE" and not (kind == "LWPOLYLINE" and thing.closed):  # type: ignore[attr-defined]
        faults.append(f"{what}: not closed")
    elif layer == "BEND" and kind != "LINE":
        faults.append(f"{what}: wrong layer")
    if kind == "CIRCLE" and thing.dxf.radius <= _SAME:
        faults.append(f"{what}: no radius")
    if kind == "LWPOLYLINE":
        faults += [f"{what}: a piece without length"] * _lengthless(thing)
    heights = (
        [thing.dxf.elevation]
        if kind == "LWPOLYLINE"
        else [thing.dxf.get(n).z for n in ("center", "start", "end") if thing.dxf.hasattr(n)]
    )
    if any(heights):
        faults.append(f"{what}: not at z 0")
    return faults


def _lengthless(line: DXFGraphic) -> int:
    points = [(x, y) for x, y, *_ in line.get_points("xyb")]  # type: ignore[attr-defined]
    return sum(math.dist(a, b) <= _SAME for a, b in zip(points, points[1:] + points[:1], strict=True))


def _print_of(thing: DXFGraphic) -> tuple[object, ...]:
    """Return what makes two things the same cut."""

    def grid(*values: float) -> tuple[int, ...]:
        return tuple(round(value / (100 * _SAME)) for value in values)

    kind, layer = thing.dxftype(), thing.dxf.layer
    match kind:
        case "CIRCLE":
            return kind, layer, grid(*thing.dxf.center, thing.dxf.radius)
        case "LINE":
            return kind, layer, frozenset({grid(*thing.dxf.start), grid(*thing.dxf.end)})
        case "LWPOLYLINE":
            return kind, layer, frozenset(grid(x, y) for x, y, *_ in thing.get_points("xyb"))  # type: ignore[attr-defined]
        case _:
            return kind, layer, thing.dxf.handle
