"""The solids as one page that turns under the mouse, with nothing fetched from anywhere.

viewer_page    one HTML file
"""

import base64
import hashlib
import math
import re
from collections.abc import Sequence
from html import escape

from shroudwright.drawing.mesh import Piece, scene_of

_SIGHT = (1600, 1000)
_TITLE = re.compile(r"<title>.*?</title>", re.DOTALL)
_SCRIPT = re.compile(r"<script>(.*?)</script>", re.DOTALL)


def viewer_page(title: str, pieces: Sequence[Piece]) -> bytes:
    """Return a page that shows solids; drag turns, wheel zooms.

    Parameters
    ----------
    title : str
        Of the page.
    pieces : sequence of Piece
        Each name once, [m]

    Returns
    -------
    bytes
        One file. Its policy lets it run its own script and read its own data, and nothing else: a browser that
        opens it makes no request.
    """
    from trimesh.scene.cameras import Camera
    from trimesh.viewer.notebook import scene_to_html

    scene = scene_of(pieces)
    # Given by name: the library would name it at random, and the page would differ every time.
    scene.camera = Camera(name="eye", resolution=_SIGHT, fov=(50.0, 50.0 * _SIGHT[1] / _SIGHT[0]))
    scene.set_camera(angles=(-math.radians(25.0), math.radians(-35.0), 0.0))
    page = scene_to_html(scene)
    scripts = _SCRIPT.findall(page)
    prints = " ".join(f"'sha256-{_digest(script)}'" for script in scripts)
    policy = (
        f"default-src 'none'; script-src {prints}; style-src 'unsafe-inline'; connect-src data:; img-src data: blob:"
    )
    head = f'<title>{escape(title)}</title>\n<meta http-equiv="Content-Security-Policy" content="{policy}">'
    return _TITLE.sub(lambda _: head, page, count=1).encode()


def _digest(script: str) -> str:
    return base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
