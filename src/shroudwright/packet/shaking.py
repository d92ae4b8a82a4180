"""How the shroud's face shakes, on paper.

face_blocks
"""

from shroudwright.drawing.face_picture import face_picture
from shroudwright.drawing.svg import svg
from shroudwright.packet.blocks import Block, heading, items, picture, table, words
from shroudwright.plan import Plan
from shroudwright.speech import SHOPS, cure_names, face_lines


def face_blocks(parts: Plan, units: str, width: float) -> list[Block]:
    """Return the blocks on the face.

    Parameters
    ----------
    parts : Plan
        Its face and what would cure it.
    units : str
        ``in`` or ``mm``, [text]
    width : float
        Widest a picture may be, [m]

    Returns
    -------
    list of Block
        Empty where there is no face.
    """
    if parts.face is None:
        return []
    shop = SHOPS[units]
    drawn = face_picture(parts.face, units)
    blocks = [
        heading("How the face shakes"),
        items(face_lines(parts.face, shop)),
        picture(svg(drawn, width, 0.1), drawn.description),
    ]
    if parts.cures:
        rows = [
            (
                cure_names(cure, shop),
                f"{cure.frequency:.0f}",
                f"{100.0 * cure.fatigue_share:.0f} %",
                ", ".join(dict.fromkeys(finding.code for finding in cure.left)) or "cured",
            )
            for cure in parts.cures
        ]
        blocks.append(table("3 done to it | 1r times a second | 1.4r of what it stands | 1.2 still found", rows))
    guessed = "Fans' weights and mounts that nobody typed are guessed. A fan's frame, which stiffens it, is left out."
    return [*blocks, words(guessed, 8.5)]
