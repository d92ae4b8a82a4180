"""What is wrong with the metal, in words, and after it what is wrong with the control.

    shop_findings    the findings of a plan
    shroud_findings  those of a shroud's flats and bends alone

The rooms return codes and numbers; `SAID` holds the one wording of each code of metal.
"""

from collections.abc import Iterator

from shroudwright.assessment import FindingAnswer
from shroudwright.bench.findings import Level
from shroudwright.control_reasons import control_findings
from shroudwright.metal.shroud import Shroud
from shroudwright.plan import Plan
from shroudwright.shop_words import Wording, said
from shroudwright.speech import Dialect, cure_words

SAID: dict[str, Wording] = {
    "B01": Wording(
        "stop",
        "A bend is tighter than the metal takes: it will crack.",
        "length",
        "A larger inside radius, or a softer alloy or temper.",
    ),
    "B02": Wording(
        "watch",
        "A tight bend runs along the sheet's grain, where it cracks first.",
        "length",
        "A larger inside radius, or turn the blank on the sheet if its other bends allow.",
    ),
    "B03": Wording(
        "watch",
        "The roll is too large for the depth to turn square: it stops short and lands on the core at an angle.",
        "length",
        "The largest roll that turns square, or a deeper shroud.",
    ),
    "B04": Wording(
        "watch",
        "The straight wall between two bends is too short to grip.",
        "length",
        "Merge the bends or make the shroud deeper.",
    ),
    "B05": Wording(
        "stop",
        "The bends eat the flat face a fan needs.",
        "length",
        "A smaller radius of rolls or bends, or a smaller fan.",
    ),
    "B06": Wording("stop", "The flange is too short to form.", "length", "A longer flange leg."),
    "B07": Wording(
        "stop",
        "The neutral line typed, or told by the test bend, is none a sheet can have; the table's is drawn.",
        "ratio",
        "Measure strip, legs to their tangents, angle and radius again, or leave it to the table.",
    ),
    "B08": Wording(
        "watch",
        "The large roll is worked out with a tight bend's neutral line: the blank comes out short.",
        "length",
        "0.5: from R of 5 thicknesses the middle of the sheet keeps its length.",
    ),
    "B09": Wording(
        "watch",
        "The sheet springs back so far that the bend is a lottery.",
        "angle",
        "Roll a scrap first over the former of the bend table; a softer temper or thicker sheet springs back less.",
    ),
    "B10": Wording(
        "stop",
        "Bent to this radius the sheet only flexes, and springs back flat.",
        "length",
        "Roll it in steps over smaller formers, a smaller radius, a softer temper or thicker sheet.",
    ),
    "B11": Wording(
        "stop",
        "A bend is longer, or the sheet thicker, than the brake takes.",
        "length",
        "Two pieces with a welded seam, or a shop with a larger brake.",
    ),
    "B12": Wording(
        "stop",
        "The hole where two bends meet is too small: the corner will tear.",
        "length",
        "The hole by the table, reaching past both bends.",
    ),
    "B14": Wording(
        "note",
        "Flats of over 0.010 in will show in a roll made by so few hits.",
        "number",
        "More hits, closer together.",
    ),
    "B15": Wording(
        "stop",
        "The flat and its folded solid do not hold the same metal.",
        "exact",
        "Change the size that makes it so; if none does, it is a fault of the program.",
    ),
    "B16": Wording(
        "watch",
        "No order of bends clears a usual leaf brake: the inside is narrow for walls and flanges so high.",
        "length",
        "A box-and-pan brake with fingers, lower walls, a shorter flange, or flanges welded on.",
    ),
    "O01": Wording(
        "watch", "A hole lies close to a bend and will go oval.", "length", "Move it, or drill it after bending."
    ),
    "O02": Wording("stop", "A bolt would seat on a curve.", "length", "Move the hole to the flat face or the flange."),
    "O03": Wording("watch", "A hole lies close to an edge.", "length", "Move it inwards or leave an ear round it."),
    "O04": Wording(
        "watch", "Little metal is left between two openings.", "length", "Spread the fans or make one opening plate."
    ),
    "O05": Wording(
        "stop", "An opening is larger than the fan's frame covers.", "length", "A smaller opening or a larger frame."
    ),
    "O06": Wording(
        "stop",
        "A neck of a lobed opening is too sharp: it cannot be deburred and will crack.",
        "length",
        "A larger fillet, twice the sheet's thickness and 3/8 in at least.",
    ),
    "O07": Wording(
        "watch",
        "A hole or inside corner is too small for what cuts it.",
        "length",
        "Cut a pilot mark and drill it, round the corner, or have it cut another way.",
    ),
    "O08": Wording(
        "watch", "A fan's mounting holes are not known.", "count", "Measure them and type them into the fan's row."
    ),
    "O09": Wording("stop", "A fan's motor will not pass through its opening.", "length", "A larger or round opening."),
    "O10": Wording(
        "watch",
        "The wires pass a raw edge, or crowd their grommet.",
        "length",
        "A grommet with a fifth more bore than the loom is thick, low on the dry side, the loom hanging below it.",
    ),
    "O11": Wording(
        "watch",
        "Edge trim closes an opening to less than the blades sweep.",
        "length",
        "A larger opening, a rolled lip in place of the trim, or none.",
    ),
    "O12": Wording(
        "watch",
        "A flap leaks, is sucked in, or reaches a fan.",
        "length",
        "1/4 to 3/8 in over its opening all round, a bar wherever it spans over 3 in, and clear of every fan.",
    ),
    "O13": Wording(
        "watch",
        "Water cannot run out of a closed pocket: no drain there.",
        "count",
        "Add a drain of 1/4 to 3/8 in at its lowest spot.",
    ),
    "O14": Wording(
        "watch", "A hole lies in the ends left long: trimming may take it off.", "length", "Drill it after trimming."
    ),
    "O16": Wording(
        "stop", "A mounting hole is off its fan's pattern.", "length", "Take the fan's own table, or slot the holes."
    ),
    "O17": Wording(
        "watch",
        "An opening covers part of the ring its fan sweeps, and throttles it.",
        "ratio",
        "A larger opening, or shallower lobes.",
    ),
    "F12": Wording(
        "stop",
        "A bolt may reach the core: its tip would go into a tube.",
        "length",
        "A shorter bolt, head on the core's side, or a rivet nut.",
    ),
    "S08": Wording(
        "watch",
        "A row of rivets is too close, too far apart, too near an edge, or its rivets do not suit the sheets.",
        "length",
        "Pitch 3 to 8 diameters, edge two at least, and a rivet whose grip holds the sheets together.",
    ),
    "M01": Wording(
        "watch",
        "This rod cracks over years under load where the weld lives above 150 °F: fine for a shroud, not for a mount.",
        "temperature",
        "5554 on 5052, or 4043 on 3003 and 6061, where the weld carries the radiator.",
    ),
    "M02": Wording(
        "note",
        "Rod 4043 on 5052 makes a joint that is brittle when shaken.",
        "place",
        "5554, or 5356 where it is cool.",
    ),
    "M03": Wording(
        "stop",
        "No rod joins these metals.",
        "place",
        "Rivet or bolt them, with an isolator, or make both of one metal.",
    ),
    "M04": Wording(
        "watch",
        "A weld ground flush leaves less metal than the sheet.",
        "length",
        "Weld the corner right through over a back bar, or leave the bead; 0.063 in sheet at least.",
    ),
    "M05": Wording(
        "stop", "Two metals touch that eat each other.", "place", "Part them, and plate or seal the fasteners."
    ),
    "M06": Wording("note", "Rod 4043 turns dark when anodised.", "place", "5356 or 5554, or paint."),
    "M07": Wording("stop", "The metal's alloy or temper is not stated.", "place", "Read the mill stamp and type it."),
    "M08": Wording("watch", "The sheet is an unusual thickness for a shroud.", "length", "Make sure it is meant."),
    "D01": Wording(
        "stop",
        "An outline does not close cleanly: a piece without length, or it crosses itself.",
        "length",
        "Change the size that makes it so; if none does, it is a fault of the program.",
    ),
    "D02": Wording("stop", "The same cut stands twice.", "length", "Take one of the two away."),
    "D06": Wording(
        "stop", "An opening does not lie in its part, or lies in another.", "length", "Move it or make it smaller."
    ),
    "D07": Wording("watch", "A curve is made of short straights: the edge will be faceted.", "number", "Use an arc."),
    "D09": Wording(
        "stop",
        "The parts do not fit one sheet.",
        "length",
        "Turn or seam the part, or a larger sheet: type the sizes to be had into sheets in [shop].",
    ),
    "D10": Wording(
        "watch",
        "A part lies against its grain on the sheet: its tight bends run along the grain.",
        "length",
        "A larger sheet, or a larger bend radius.",
    ),
    "D12": Wording(
        "stop",
        "A bend lacks its angle, direction or radius, or lies off the metal.",
        "number",
        "Change the size that makes it so; if none does, it is a fault of the program.",
    ),
    "D14": Wording(
        "watch", "One cap is cut for both ends, but their necks differ.", "length", "Cut a cap for each end."
    ),
    "O15": Wording(
        "watch",
        "Heat makes shroud and core grow apart, and nothing lets them slip.",
        "length",
        "One fixed bolt; slots 1/16 in either way, or holes as much larger under washers, for all the others.",
    ),
    "S01": Wording(
        "watch",
        "The face with its fans shakes slowly, near the 10 to 15 times a second at which wheels hop.",
        "frequency",
        "Thicker sheet, a bead or an angle across it, a lip on the openings, or fans hung on the core's frame.",
    ),
    "S02": Wording(
        "watch",
        "The face shakes in time with what drives it.",
        "frequency",
        "Stiffen it past that, or move the fans.",
    ),
    "S03": Wording(
        "watch",
        "On rough roads the face cracks in time, first at a hole.",
        "stress",
        "Thicker sheet, 5052, large washers or a second sheet under the mounts.",
    ),
    "S04": Wording(
        "watch",
        "A fan's mount lies in metal a weld has softened.",
        "length",
        "Move it, or put a second sheet under it.",
    ),
    "S05": Wording(
        "watch",
        "The face is wide for its thickness with nothing across it: it will pop in and out.",
        "ratio",
        "A bead, a crown of 1/16 to 1/8 in, an angle across, or a lip on the openings.",
    ),
    "S06": Wording(
        "stop",
        "A bracket bends under its share of the pack on a bump.",
        "stress",
        "Thicker sheet, a shorter arm, or a gusset; bolted where it is welded.",
    ),
    "S09": Wording(
        "watch",
        "The core is held hard at four points or more: the frame's twist goes into it.",
        "number",
        "Rubber under it, and one end free to move.",
    ),
    "S10": Wording(
        "watch",
        "A heavy fan hangs on ties through the core: they saw the fins.",
        "weight",
        "Brackets, or a shroud that carries the fan.",
    ),
    "S07": Wording(
        "watch",
        "The flange bolts are far apart: the flange gapes, and the wall holds the face like a hinge.",
        "length",
        "Bolts every 6 in or closer.",
    ),
}


def shop_findings(plan: Plan, shop: Dialect) -> list[FindingAnswer]:
    """Say what is wrong with a plan.

    Parameters
    ----------
    plan : Plan
        Shroud and settings.
    shop : Dialect
        Units to say it in.

    Returns
    -------
    list of FindingAnswer
        In the order of metal, control.
    """
    return [
        *_of_metal(plan, shop),
        *_of_drawings(plan, shop),
        *_of_face(plan, shop),
        *_of_brackets(plan, shop),
        *control_findings(plan, shop),
    ]


def shroud_findings(made: Shroud, shop: Dialect) -> Iterator[FindingAnswer]:
    """Say what is wrong with a shroud's flats and their bends.

    Parameters
    ----------
    made : Shroud
        As laid out.
    shop : Dialect
        Units to say it in.

    Yields
    ------
    FindingAnswer
    """
    for finding in made.findings:
        # Openings that overlap, or run off the sheet, do not fit: that is said with the fans.
        is_fans = not finding.place.startswith("hole") and "," not in finding.place
        if finding.measured < 0.0 and finding.code in ("O03", "O04") and is_fans:
            continue
        level: Level = "stop" if finding in made.stops else "watch"
        yield said(SAID, finding.code, finding.measured, finding.limit, finding.place, shop, level)


def _of_metal(plan: Plan, shop: Dialect) -> Iterator[FindingAnswer]:
    if plan.shroud:
        yield from shroud_findings(plan.shroud, shop)
    for (code, measured, limit, place), level in plan.told:
        yield said(SAID, code, measured, limit, place, shop, level)


def _of_drawings(plan: Plan, shop: Dialect) -> Iterator[FindingAnswer]:
    for level, finding in plan.drawn:
        # Sheets are counted, all else under that code is measured.
        how = "number" if finding.place == "sheets" else None
        yield said(SAID, finding.code, finding.measured, finding.limit, finding.place, shop, level, how=how)


def _of_brackets(plan: Plan, shop: Dialect) -> Iterator[FindingAnswer]:
    if plan.mounting:
        cures = {item.bracket.flat.name: item.cure for item in plan.mounting.brackets}
        for code, measured, limit, place in plan.mounting.findings:
            found = said(SAID, code, measured, limit, place, shop)
            if code == "S06":
                cure = cures[place.partition(",")[0]]
                more = f"{shop.size(cure)} sheet holds." if cure else "No sheet to be had is enough by itself."
                found = found.model_copy(update={"remedy": f"{found.remedy} {more}"})
            yield found


def _of_face(plan: Plan, shop: Dialect) -> Iterator[FindingAnswer]:
    if plan.face:
        tried = "; ".join(cure_words(cure, shop) for cure in plan.cures)
        for finding in plan.face.findings:
            level: Level = "stop" if finding in plan.face.stops else "watch"
            one = said(SAID, finding.code, finding.measured, finding.limit, finding.place, shop, level)
            more = tried and finding.code in ("S01", "S02", "S03")
            yield one.model_copy(update={"remedy": f"{one.remedy} Worked out: {tried}."}) if more else one
