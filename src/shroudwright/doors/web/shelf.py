"""The shop's fans: one shelf, kept as revisions, and how each fan would go on a job.

text_of        the shelf as it stands, or the one that is shipped
rows_of        its fans as they are typed, and units_of their columns
with_row       one more fan, or one typed anew
without_row    one fewer
badge_of       fits, fits turned, too big or too thick by how much
about          a fan in a line
"""

import csv
import io
from collections.abc import Mapping
from importlib.resources import files
from typing import Literal, NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.job.drive import Fan
from shroudwright.job.model import Job
from shroudwright.job.shelf import COLUMNS, ShelfFan, parse_shelf
from shroudwright.shop.rows import Revision
from shroudwright.shop.store import Shop
from shroudwright.speech import SHOPS, Dialect

SHIPPED, OWN = "the shelf as shipped", "the shop's shelf"
_ROUNDING = 1e-6


class Badge(NamedTuple):
    """How a fan would go on a job."""

    state: Literal["fits", "turned", "big", "thick", "unknown"]
    says: str


def kept_shelf(shop: Shop) -> Revision | None:
    """Return the shop's own shelf as it stands; None until somebody begins one."""
    found = shop.files("shelf")
    return shop.latest(min(kept.file for kept in found)) if found else None


def text_of(shop: Shop) -> tuple[bytes, str]:
    """Return the shelf fans are chosen from, and what to call it.

    Parameters
    ----------
    shop : Shop
        Where it is kept.

    Returns
    -------
    text, name : bytes, str
        The one that is shipped where the shop has none.
    """
    own = kept_shelf(shop)
    return (shipped_text(), SHIPPED) if own is None else (own.text, OWN)


def shipped_text() -> bytes:
    """Return the shelf that is shipped, all invented."""
    return files("shroudwright.catalogue").joinpath("fans.csv").read_bytes()


def rows_of(text: bytes) -> list[dict[str, str]]:
    """Return a shelf's fans as they are typed, by column, and by which row each stands in under ``row``."""
    head, _, fans = _read(text)
    return [{"row": str(at), **dict(zip(head, cells, strict=True))} for at, cells in enumerate(fans)]


def units_of(text: bytes) -> dict[str, str]:
    """Return the unit of every column a shelf has."""
    head, units, _ = _read(text)
    return dict(zip(head, units, strict=True))


def with_row(text: bytes, typed: Mapping[str, str], row: int | None) -> bytes:
    """Type a fan anew, or add one.

    Parameters
    ----------
    text : bytes
        The shelf's.
    typed : mapping of str to str
        By column; others are ignored.
    row : int or None
        Which fan, from 0; None adds one.

    Returns
    -------
    bytes
        A shelf that reads; a column it lacked is added where something is typed for it.

    Raises
    ------
    InputError
        With every fault.
    """
    head, units, fans = _read(text)
    for column in COLUMNS:
        if column not in head and typed.get(column, "").strip():
            head.append(column)
            units.append(_unit_of_new(column))
            for cells in fans:
                cells.append("")
    cells = [typed.get(column, "").strip() for column in head]
    if row is None:
        fans.append(cells)
    else:
        fans[_there(fans, row)] = cells
    return _sound(head, units, fans)


def without_row(text: bytes, row: int) -> bytes:
    """Take a fan off.

    Parameters
    ----------
    text : bytes
        The shelf's.
    row : int
        Which, from 0.

    Returns
    -------
    bytes

    Raises
    ------
    InputError
        If there is no such fan, or none would be left.
    """
    head, units, fans = _read(text)
    del fans[_there(fans, row)]
    return _sound(head, units, fans)


def badge_of(item: ShelfFan, job: Job) -> Badge:
    """Say whether one frame of a fan goes on a job's core, and into the room behind it.

    Parameters
    ----------
    item : ShelfFan
    job : Job

    Returns
    -------
    Badge
        Of one frame alone, by sizes that are typed: what stands in the way is left to choosing.
    """
    fan, shop = item.fan, SHOPS[job.units or "in"]
    wanted = next((other.direction for other in job.fans if other.direction), "puller")
    if fan.direction not in (None, wanted) and not item.fits_either_way:
        return Badge("big", f"wrong hand: a {fan.direction}, and the job wants a {wanted}")
    face = _on_the_face(item, job, shop)
    return face if face.state in ("big", "unknown") or wanted == "pusher" else _behind(fan, job, shop, face)


def about(item: ShelfFan) -> str:
    """Say a fan's size, air, amps, noise and price in a line; what is not known is left out."""
    fan = item.fan
    readings = (fan.blade, ""), (fan.overall_depth, " deep"), (fan.free_flow, ""), (fan.run_amps, ""), (fan.noise, "")
    words = [f"{reading.typed.partition(',')[0]}{after}" for reading, after in readings if reading]
    return ", ".join([f"{fan.kind} {fan.direction or ''}".strip(), *words, *([fan.price] if fan.price else [])])


def _on_the_face(item: ShelfFan, job: Job, shop: Dialect) -> Badge:
    if job.core.width is None or job.core.height is None:
        return Badge("unknown", "the core's size is not typed")
    if item.fan.frame_size is None:
        return Badge("unknown", "its frame is not measured")
    long = item.fan.frame_size.value
    short = item.frame_short or long
    width, height = job.core.width.value, job.core.height.value
    lying, upright = max(long - width, short - height), max(long - height, short - width)
    if min(lying, upright) > _ROUNDING:
        return Badge("big", f"too big by {shop.tape(min(lying, upright))}")
    return Badge("fits", "fits") if lying <= _ROUNDING else Badge("turned", "fits turned")


def _behind(fan: Fan, job: Job, shop: Dialect, face: Badge) -> Badge:
    room = [spot.depth.value for spot in job.space.depth_map if spot.depth]
    if fan.overall_depth is None or not room:
        return Badge("unknown", f"{face.says} the face; depth not measured")
    ahead = [reading.value for reading in (job.shroud.depth, job.space.engine_rock) if reading]
    needed = fan.overall_depth.value + sum(ahead)
    if needed > max(room) + _ROUNDING:
        return Badge("thick", f"too thick by {shop.tape(needed - max(room))}")
    return face._replace(says=f"{face.says}, not everywhere") if needed > min(room) + _ROUNDING else face


def _there(fans: list[list[str]], row: int) -> int:
    if not 0 <= row < len(fans):
        raise InputError([f"there is no fan {row + 1} on the shelf"])
    return row


def _unit_of_new(column: str) -> str:
    """A column that was not there is typed with its units in every cell."""
    return {"curve": "cfm inH2O", "price": "USD"}.get(column, "-" if column == "air_density" else "")


def _read(text: bytes) -> tuple[list[str], list[str], list[list[str]]]:
    rows = [[cell.strip() for cell in row] for row in csv.reader(io.StringIO(text.decode("utf-8-sig"))) if any(row)]
    return rows[0], rows[1], rows[2:]


def _sound(head: list[str], units: list[str], fans: list[list[str]]) -> bytes:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([head, units, *fans])
    text = out.getvalue().encode("utf-8")
    parse_shelf(text, "shelf")
    return text
