"""The folded shroud among what stands round it, as far as a plan knows that.

models    files of the solids
step_of   the folded metal as STEP
gaps_of   smallest gaps in space
is_whole  whether a shroud can be folded at all
"""

from shroudwright.drawing.gaps import Gap, bodies, gaps
from shroudwright.drawing.mesh import glb, stl
from shroudwright.drawing.scene import metal, solids
from shroudwright.drawing.step import step
from shroudwright.drawing.viewer import viewer_page
from shroudwright.metal.assembly import placed
from shroudwright.metal.shroud import Shroud
from shroudwright.plan import Plan

STEP_NAMES = ("shroud_folded.step", "TRIAL_shroud_folded.step")
NAMES = ("shroud_3d.html", "shroud_3d.glb", "shroud_folded.stl")
_CUT_APART = ("O03", "O04")
"""Metal left at an edge, and between two openings: less than none of either cannot be folded"""


def models(title: str, parts: Plan) -> dict[str, bytes]:
    """Return the files of the solids by name; none without a shroud behind a core.

    Parameters
    ----------
    title : str
        Of the page.
    parts : Plan
        Shroud, fans and what stands behind.

    Returns
    -------
    dict
        A page that turns the solids, the same as GLB, and the folded metal alone as STL.
    """
    shroud, back = parts.shroud, parts.back
    if shroud is None or back is None or back.fit.plate is None or not is_whole(shroud):
        return {}
    pieces = solids(shroud, back.fit.fans, back.fit.plate, back.fit.solids, back.core)
    folded = stl([piece.mesh for piece in pieces if piece.role == "shroud"])
    return dict(zip(NAMES, (viewer_page(title, pieces), glb(pieces), folded), strict=True))


def is_whole(shroud: Shroud) -> bool:
    """Whether its openings stay apart and within their flats: otherwise nothing can be folded, and a finding says so.

    Parameters
    ----------
    shroud : Shroud
        As fitted out.

    Returns
    -------
    bool
    """
    return not any(found.code in _CUT_APART and found.measured < 0.0 for found in shroud.findings)


def step_of(parts: Plan) -> dict[str, bytes]:
    """Return the folded metal as a STEP file by its name, where it stands; none without a shroud.

    Parameters
    ----------
    parts : Plan
        With its shroud.

    Returns
    -------
    dict
        One file, marked TRIAL as cut files are.

    Raises
    ------
    InputError, ExportFault
        As `drawing.step.step`.
    """
    return {STEP_NAMES[parts.is_trial]: step(placed(parts.shroud))} if parts.shroud else {}


def gaps_of(parts: Plan) -> list[Gap]:
    """Return the smallest gaps in space, the tightest first; none as with `models`."""
    shroud, back = parts.shroud, parts.back
    if shroud is None or back is None or back.fit.plate is None or not is_whole(shroud):
        return []
    meshes = [piece.mesh for piece in metal(shroud, back.fit.plate)]
    return gaps(meshes, bodies(back.fit.fans, back.fit.plate, back.fit.solids, back.core))
