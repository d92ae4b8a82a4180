"""A whole packet into a folder: every file all or nothing.

write            PDF, cut files, pictures and lists
refuse_folder    where nothing can be written, before anything is worked out
"""

import hashlib
import json
import os
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from shroudwright.assessment import Assessment
from shroudwright.bench.errors import InputError
from shroudwright.drawing.dxf import cut_dxf, drawing_dxf, file_stem
from shroudwright.drawing.faults import ExportFault
from shroudwright.drawing.flat_picture import flat_picture
from shroudwright.drawing.svg import svg
from shroudwright.drawing.template import one_page, tiles
from shroudwright.drawing.words import length_words
from shroudwright.drives import Driven
from shroudwright.metal.flat import Flat
from shroudwright.metal.sheet import find_sheet
from shroudwright.metal.shroud import Shroud
from shroudwright.packet.models import NAMES, STEP_NAMES, models, step_of
from shroudwright.packet.pdf import packet_pdf
from shroudwright.packet.plumbing import HOSE_HEADS, circuit_picture, hose_rows
from shroudwright.packet.stops import metal_stops
from shroudwright.packet.tables import (
    BILL_HEADS,
    CUT_HEADS,
    HARDWARE_HEADS,
    WIRE_HEADS,
    bill_rows,
    csv_bytes,
    cut_rows,
    hardware_rows,
    wire_rows,
)
from shroudwright.packet.wiring import diagram
from shroudwright.plan import Plan
from shroudwright.speech import SHOPS

_PICTURE_WIDTH = 0.25
_DIAGRAM = 0.40, 0.28
"""Of its own sheet, [m]"""
_ENDINGS = ("_cut.dxf", "_drawing.dxf", ".svg", "_template.pdf", "_tiles.pdf")
CUT_LIST = "cut_list.csv"


def write(
    out: Path, answer: Assessment, units: str, parts: Plan, driven: Sequence[Driven] = (), *, with_step: bool = False
) -> list[Path]:
    """Write a packet.

    Parameters
    ----------
    out : Path
        Folder to write into; made if it is not there.
    answer : Assessment
        The whole answer.
    units : str
        ``in`` or ``mm``, [text]
    parts : Plan
        Metal, wires, settings and prices.
    driven : sequence of Driven
        Simulated drives, if any.
    with_step : bool
        Whether to write the folded metal as STEP too; its packages must be there.

    Returns
    -------
    list of Path
        Files written, a manifest of them all last. No cut files, templates or cut list while a stop on metal or
        fit stands; those an earlier packet of the same
        flats left here are taken away, and so are its TRIAL files once it is none, or the other way about.

    Raises
    ------
    InputError
        If the folder cannot be written.
    """
    contents = {"packet.pdf": packet_pdf(answer, units, parts, driven), "assessment.json": answer.to_json().encode()}
    left_out: list[dict[str, str]] = []
    if parts.shroud:
        contents |= models(answer.job_name, parts)
        if stops := metal_stops(answer):
            codes = ", ".join(dict.fromkeys(stop.code for stop in stops))
            held = "cut files, templates, cut list and STEP" if with_step else "cut files, templates and cut list"
            left_out.append({"what": held, "why": f"{codes} stands"})
        else:
            contents |= _to_cut(parts, parts.shroud, units, left_out, with_step=with_step)
    contents |= _lists(units, parts)
    contents["manifest.json"] = _manifest(answer, contents, left_out)
    try:
        out.mkdir(parents=True, exist_ok=True)
        for name in _flat_names(units, parts) - contents.keys():
            (out / name).unlink(missing_ok=True)
        return [_put(out / name, content) for name, content in contents.items()]
    except OSError as error:
        raise InputError([f"{out}: cannot be written, {(error.strerror or 'not allowed').lower()}"]) from None


def refuse_folder(out: Path) -> None:
    """Refuse a folder that could not be made or written into, without making it.

    Parameters
    ----------
    out : Path

    Raises
    ------
    InputError
        If its nearest folder that is there is none, or lets nobody write.
    """
    nearest = next(path for path in (out, *out.absolute().parents) if path.exists())
    if not nearest.is_dir():
        raise InputError([f"{out}: cannot be written, {nearest} is no folder"])
    if not os.access(nearest, os.W_OK):
        raise InputError([f"{out}: cannot be written, permission denied"])


def _flats(parts: Plan, shroud: Shroud) -> list[tuple[Flat, str]]:
    """Every flat of the packet and its metal."""
    brackets = [item.bracket for item in (parts.mounting.brackets if parts.mounting else ())]
    return [*((flat, shroud.metal) for flat in shroud.flats), *((made.flat, made.metal) for made in brackets)]


def _to_cut(
    parts: Plan, shroud: Shroud, units: str, left_out: list[dict[str, str]], *, with_step: bool
) -> dict[str, bytes]:
    """Files that metal is cut by."""
    files: dict[str, bytes] = {}
    for flat, metal in _flats(parts, shroud):
        files |= _of_flat(flat, metal, units, left_out, is_trial=parts.is_trial)
    if with_step:
        try:
            files |= step_of(parts)
        except ExportFault as fault:
            left_out.append({"what": "STEP", "why": f"{fault.code}: {fault}"})
    rows = [row for flat, metal in _flats(parts, shroud) for row in cut_rows((flat,), find_sheet(metal).density, units)]
    files[CUT_LIST] = csv_bytes(CUT_HEADS, rows)
    return files


def _lists(units: str, parts: Plan) -> dict[str, bytes]:
    """Lists and diagrams of what is bought and joined, by name."""
    contents: dict[str, bytes] = {}
    if parts.wires:
        contents["wires.csv"] = csv_bytes(WIRE_HEADS, wire_rows(parts.wires, units))
    if (drawn := diagram(parts)) is not None:
        contents["wiring.svg"] = svg(drawn, *_DIAGRAM).encode()
    if parts.plumbing is not None:
        shop = SHOPS[units]
        contents["hoses.csv"] = csv_bytes(HOSE_HEADS, hose_rows(parts.plumbing, shop))
        contents["hoses.svg"] = svg(circuit_picture(parts.plumbing, shop), *_DIAGRAM).encode()
    if parts.hardware:
        contents["hardware.csv"] = csv_bytes(HARDWARE_HEADS, hardware_rows(parts.hardware, units))
    if parts.bill:
        heads = (*BILL_HEADS, "currency")
        contents["parts.csv"] = csv_bytes(heads, [(*row, parts.bill.currency) for row in bill_rows(parts.bill)])
    return contents


def _of_flat(flat: Flat, metal: str, units: str, left_out: list[dict[str, str]], *, is_trial: bool) -> dict[str, bytes]:
    """Files of a flat by name; one that came out wrong is not written but told."""
    stem = file_stem(flat, metal, units, is_trial=is_trial)
    notes = (
        f"{'TRIAL: do not cut. ' if is_trial else ''}{flat.name}: cut {flat.quantity}",
        f"{metal}, {length_words(flat.thickness, units)}",
        "full size, net flat; bends named with this face up",
    )
    made: tuple[Callable[[], bytes], ...] = (
        lambda: cut_dxf(flat, units),
        lambda: drawing_dxf(flat, units, notes),
        lambda: svg(flat_picture(flat, units), _PICTURE_WIDTH, _PICTURE_WIDTH).encode(),
        lambda: one_page(flat, units, notes),
        lambda: tiles(flat, units, notes),
    )
    files = {}
    for ending, make in zip(_ENDINGS, made, strict=True):
        try:
            files[f"{stem}{ending}"] = make()
        except ExportFault as fault:
            left_out.append({"what": f"{stem}{ending}", "why": f"{fault.code}: {fault}"})
    return files


def _manifest(answer: Assessment, contents: dict[str, bytes], left_out: list[dict[str, str]]) -> bytes:
    """List every file with its digest, and what was not written and why."""
    listed = [
        {"name": name, "bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        for name, content in contents.items()
    ]
    told = {"program": answer.program, "job_sha256": answer.job_sha256, "files": listed, "left_out": left_out}
    return (json.dumps(told, indent=2) + "\n").encode()


def _flat_names(units: str, parts: Plan) -> set[str]:
    """Return every name the files of these flats may have, trial or not."""
    if parts.shroud is None:
        return set()
    flats = _flats(parts, parts.shroud)
    stems = [file_stem(flat, metal, units, is_trial=is_trial) for flat, metal in flats for is_trial in (True, False)]
    return {f"{stem}{ending}" for stem in stems for ending in _ENDINGS} | {CUT_LIST, *NAMES, *STEP_NAMES}


def _put(path: Path, content: bytes) -> Path:
    handle, temporary = tempfile.mkstemp(prefix=".packet.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    finally:
        Path(temporary).unlink(missing_ok=True)
    return path
