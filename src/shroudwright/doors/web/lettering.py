"""The drawings' own letters, put into a picture so that it looks on the page as it does on paper.

lettered    SVG -> the same SVG with its font inside
"""

import base64
import io
from functools import cache
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

from shroudwright.drawing.svg import FONT, font_folder

_LETTERS = "".join(map(chr, (*range(32, 127), *range(160, 256)))) + "–—‘’“”…−×≤≥±≈→²³µΩ°"
_WEIGHTS = {"Regular": 400, "Bold": 700}


def lettered(svg: str) -> str:
    """Return an SVG with its font inside: a picture on a page may load nothing from outside itself.

    Parameters
    ----------
    svg : str
        As drawn.

    Returns
    -------
    str
    """
    opening = svg.index(">", svg.index("<svg")) + 1
    return f"{svg[:opening]}<style>{_faces()}</style>{svg[opening:]}"


@cache
def _faces() -> str:
    return "".join(
        f'@font-face{{font-family:"{FONT}";font-weight:{weight};src:url(data:font/woff;base64,{_packed(name)})}}'
        for name, weight in _WEIGHTS.items()
    )


def _packed(name: str) -> str:
    path = next(Path(font_folder()).glob(f"*-{name}.*"))
    font = TTFont(path)
    options = subset.Options(layout_features=["kern", "tnum", "lnum"], flavor="woff", hinting=False)
    cut = subset.Subsetter(options)
    cut.populate(text=_LETTERS)
    cut.subset(font)
    font.flavor = "woff"
    packed = io.BytesIO()
    font.save(packed)
    return base64.b64encode(packed.getvalue()).decode("ascii")
