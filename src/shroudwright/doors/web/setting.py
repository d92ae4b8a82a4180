"""How a page is set: a template and its words.

shown    -> the page
"""

from importlib.resources import files
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from fastapi.templating import Jinja2Templates

from shroudwright.doors.web.sheets import SHEETS

_templates = Jinja2Templates(directory=str(files("shroudwright.doors.web") / "templates"))
_templates.env.globals["sheets"] = SHEETS


def shown(request: Request, template: str, status: int = 200, **words: Any) -> HTMLResponse:
    """Set a page.

    Parameters
    ----------
    request : Request
        That asked for it.
    template : str
        Its name.
    status : int
        Of the answer.
    **words : object
        What the template says.

    Returns
    -------
    HTMLResponse
    """
    return _templates.TemplateResponse(request, template, words, status_code=status)
