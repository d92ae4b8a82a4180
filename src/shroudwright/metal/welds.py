"""The weld and finish list: what is joined how, with which rod, in which order, and what is wrong with it.

weld_list      joints -> lines, weights and findings M01 to M04, M06 to M08
filler_for     filler by base metals and duty
weld_current   amps by thickness
heat_input     of an arc
Joint          what is to be joined
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.bench.findings import Level
from shroudwright.bench.registry import offer
from shroudwright.catalogue.read import table
from shroudwright.metal.flat import Finding
from shroudwright.metal.sheet import Sheet, find_sheet

_INCH = 0.0254
HOT = 338.7
"""150 degF: above it alloys of more than 3 % magnesium crack under load over years: Corrosion 15 (1959) 19, abstract
read, [K]"""
_MAGNESIUM = ("5356", "5183", "5556")
THIN_TO_BLEND = 0.063 * _INCH
USUAL = {"aluminium": (0.050 * _INCH, 0.125 * _INCH), "mild steel": (0.035 * _INCH, 0.060 * _INCH)}
"""Thickness of a shroud's sheet: common practice, [m]"""
TACK_PITCH = 1.25 * _INCH
"""Every 1 to 1 1/2 in: common practice, [m]"""
_NEARLY = 1.0 - 1e-9
_ROD_TO = 0.085 * _INCH
_ROD_DENSITY = {"aluminium": 2700.0, "mild steel": 7850.0}

Kind = Literal["corner", "fillet", "butt", "lap"]
Finish = Literal["bare", "paint", "powder coat", "anodise"]


class Joint(NamedTuple):
    """What is to be joined; the second metal only where it is another one."""

    name: str
    kind: Kind
    length: float
    """[m]"""
    thickness: float
    """of the thinner sheet, [m]"""
    other_metal: str = ""
    carries_load: bool = False
    """whether the radiator hangs on it"""
    is_blended: bool = False
    """whether it is ground flush"""
    is_full: bool = False
    """whether it is welded through, with a back bar"""
    times: int = 1
    """how many alike"""


class Line(NamedTuple):
    """A line of the weld list."""

    number: int
    joint: Joint
    process: str
    filler: str
    """empty where nothing joins the two, [text]"""
    rod: float
    """diameter, [m]"""
    amps: tuple[float, float]
    """[A]"""
    throat: float
    """least, [m]"""
    tacks: int
    """of one weld"""
    finish: str


class Told(NamedTuple):
    """A finding and its level."""

    finding: Finding
    level: Level


class Welds(NamedTuple):
    """The list, the weight it adds, and what is wrong."""

    lines: tuple[Line, ...]
    weight: float
    """of the rod laid, [kg]"""
    told: tuple[Told, ...]

    @property
    def length(self) -> float:
        """Of all welds together, [m]."""
        return sum(line.joint.length * line.joint.times for line in self.lines)


class Filler(NamedTuple):
    """A filler for two base metals in a duty: cold, hot (over 150 degF), or any."""

    one: str
    other: str
    duty: str
    filler: str
    source: str
    seen: str
    grade: str


def _alloy(sheet: Sheet) -> str:
    return sheet.code.partition("-")[0]


def filler_for(metal: str, other_metal: str = "", *, is_hot: bool = True) -> str | None:
    """Filler for two base metals.

    Parameters
    ----------
    metal, other_metal : str
        As `find_sheet`; the second empty where it is the same, [text]
    is_hot : bool
        Whether the weld lives above 150 degF.

    Returns
    -------
    filler : str or None
        None where nothing kept joins the two, [text]

    Notes
    -----
    Limits: TIG. 5356 will do on a hot 5052 weld that carries nothing.
    Accuracy: least cracking and service first, strength second.

    References
    ----------
    Mathers, The Welding of Aluminium and its Alloys, Table 3.3, read; rows of unlike metals from memory.
    """
    pair = {_alloy(find_sheet(metal)), _alloy(find_sheet(other_metal or metal))}
    rows: tuple[Filler, ...] = table("fillers.csv", Filler)
    duty = "hot" if is_hot else "cold"
    return next((row.filler for row in rows if {row.one, row.other} == pair and row.duty in (duty, "any")), None)


class Current(NamedTuple):
    """A range of amps."""

    least: float
    most: float


@offer
def weld_current(thickness: float) -> Current:
    """Range of TIG current to start from.

    1 A for each 0.001 in of sheet, and 20 A over that for a fillet

    Parameters
    ----------
    thickness : float
        Of the thinner sheet, [m]

    Returns
    -------
    least : float
        [A]
    most : float
        [A]

    Notes
    -----
    Limits: up to 1/8 in; AC on aluminium, DC electrode negative on steel.
    Accuracy: a starting point; a scrap of the same sheet first.

    References
    ----------
    Common practice; a welder's handbook page, read, gives 60 to 80 A at 1.6 mm and 125 to 145 A at 3.2 mm.
    """
    least = thickness / (1e-3 * _INCH)
    return Current(least, least + 20.0)


@offer
def heat_input(volts: float, current: float, speed: float) -> float:
    """Energy of an arc along the weld.

    volts times amps over the speed of travel

    Parameters
    ----------
    volts : float
        Across the arc, [V]
    current : float
        [A]
    speed : float
        Of travel, [m/s]

    Returns
    -------
    energy : float
        Per length, [J/m]

    Notes
    -----
    Limits: of the arc; 60 to 70 % of it goes into the work, from memory.
    Accuracy: that of the readings.

    References
    ----------
    Definition.
    """
    return volts * current / speed


def weld_list(
    joints: Sequence[Joint],
    metal: str,
    *,
    service_temperature: float = 366.0,
    filler: str = "",
    finish: Finish = "bare",
) -> Welds:
    """List the welds of a part and say what is wrong with them.

    Ends are taken by turns, so that heat is spread; a joint that carries the radiator comes first.

    Parameters
    ----------
    joints : sequence of Joint
        In the order they are met along the part.
    metal : str
        As `find_sheet`; a family without its alloy and temper draws M07, [text]
    service_temperature : float
        Of the metal in use, 200 degF where nobody knows, [K]
    filler : str
        The shop's own, over the table's; empty for none, [text]
    finish : str
        bare, paint, powder coat or anodise, [text]

    Returns
    -------
    Welds
        Lines, weight of rod, and M01 to M04, M06 to M08: M01 in K, M04 and M08 in m.

    Raises
    ------
    InputError
        For a joint of no length or thickness.

    Notes
    -----
    Limits: TIG; laps are left to rivets.
    Accuracy: rod weight is that of fillets with a throat as thick as the sheet, a third over.

    References
    ----------
    See `filler_for` and `weld_current`; the rest is common practice, no source.
    """
    faults = [
        f"weld {joint.name}: no length or thickness" for joint in joints if min(joint.length, joint.thickness) <= 0.0
    ]
    if faults:
        raise InputError(faults)
    if metal in USUAL and metal != "mild steel":
        return Welds((), 0.0, (Told(Finding("M07", 0.0, 1.0, metal), "stop"),))
    sheet, is_hot = find_sheet(metal), service_temperature > HOT
    lines, told, weight = [], list[Told](), 0.0
    for number, joint in enumerate(sorted(joints, key=lambda joint: not joint.carries_load), start=1):
        rod = filler or filler_for(metal, joint.other_metal, is_hot=is_hot) or ""
        current = weld_current(joint.thickness)
        lines.append(
            Line(
                number=number,
                joint=joint,
                process="TIG, AC, argon" if sheet.family == "aluminium" else "TIG, DC electrode negative, argon",
                filler=rod,
                rod=(0.0625 if joint.thickness <= _ROD_TO else 0.09375) * _INCH,
                amps=(current.least, current.most),
                throat=joint.thickness,
                tacks=max(round(joint.length / TACK_PITCH), 1) + 1,
                finish=_finish(joint, finish),
            )
        )
        weight += 1.33 * joint.thickness**2 * joint.length * joint.times * _ROD_DENSITY[sheet.family]
        told += _of_joint(joint, sheet, rod, service_temperature, finish)
    thicknesses = sorted({joint.thickness for joint in joints})
    least, most = USUAL[sheet.family]
    for thickness in thicknesses:
        if thickness < least * _NEARLY or thickness * _NEARLY > most:
            told.append(Told(Finding("M08", thickness, least if thickness < least else most, sheet.metal), "watch"))
    return Welds(tuple(lines), weight, tuple(told))


def _finish(joint: Joint, finish: Finish) -> str:
    words = "ground flush and blended" if joint.is_blended else "left as welded"
    return words if finish == "bare" else f"{words}, then {finish}"


def _of_joint(joint: Joint, sheet: Sheet, rod: str, temperature: float, finish: Finish) -> list[Told]:
    told = []
    alloys = {_alloy(sheet), _alloy(find_sheet(joint.other_metal or sheet.metal))}
    if not rod:
        return [Told(Finding("M03", 0.0, 1.0, f"{joint.name}: {' and '.join(sorted(alloys))}"), "stop")]
    if rod in _MAGNESIUM and temperature > HOT:
        told.append(Told(Finding("M01", temperature, HOT, joint.name), "stop" if joint.carries_load else "watch"))
    if rod == "4043" and "5052" in alloys:
        told.append(Told(Finding("M02", 0.0, 1.0, joint.name), "watch" if joint.carries_load else "note"))
    if joint.is_blended and joint.thickness < THIN_TO_BLEND * _NEARLY:
        told.append(Told(Finding("M04", joint.thickness, THIN_TO_BLEND, joint.name), "watch"))
    elif joint.is_blended and not joint.is_full:
        told.append(Told(Finding("M04", 0.0, joint.thickness, joint.name), "watch"))
    if rod == "4043" and finish == "anodise":
        told.append(Told(Finding("M06", 0.0, 1.0, joint.name), "note"))
    return told
