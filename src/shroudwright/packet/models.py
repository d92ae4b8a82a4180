"""The folded shroud among what stands round it, as far as a plan knows that.

models    files of the solids
why_none  why there are none
gaps_of   smallest gaps in space
"""

from shroudwright.drawing.gaps import Gap, bodies, gaps
from shroudwright.drawing.mesh import glb, stl
from shroudwright.drawing.scene import metal, solids
from shroudwright.drawing.viewer import viewer_page
from shroudwright.metal.assembly import unplaced
from shroudwright.plan import Plan

NAMES = ("shroud_3d.html", "shroud_3d.glb", "shroud_folded.stl")


def models(title: str, parts: Plan) -> dict[str, bytes]:
    """Return the files of the solids by name; none without a shroud behind a core or where a part has no place.

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
    if shroud is None or back is None or back.fit.plate is None or unplaced(shroud):
        return {}
    pieces = solids(shroud, back.fit.fans, back.fit.plate, back.fit.solids, back.core)
    folded = stl([piece.mesh for piece in pieces if piece.role == "shroud"])
    return dict(zip(NAMES, (viewer_page(title, pieces), glb(pieces), folded), strict=True))


def why_none(parts: Plan) -> str:
    """Say why a shroud behind a core has no solids; empty where it has, or there is none, [text]."""
    return unplaced(parts.shroud) if parts.shroud and parts.back and parts.back.fit.plate else ""


def gaps_of(parts: Plan) -> list[Gap]:
    """Return the smallest gaps in space, the tightest first; none as with `models`."""
    shroud, back = parts.shroud, parts.back
    if shroud is None or back is None or back.fit.plate is None or unplaced(shroud):
        return []
    meshes = [piece.mesh for piece in metal(shroud, back.fit.plate)]
    return gaps(meshes, bodies(back.fit.fans, back.fit.plate, back.fit.solids, back.core))
