"""What a browser has posted: the fields of a form, once its token has shown that the form was ours."""

from __future__ import annotations

import hmac
from collections.abc import Mapping
from typing import NamedTuple

from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request

from lullwort.card.door import visitor_of

__all__ = ["TOKEN_FIELD", "Posted", "posted"]

TOKEN_FIELD = "form-token"
_MOST_FIELDS, _MOST_FIELD_BYTES = 60, 16_384


class Posted(NamedTuple):
    """Values by field, blanks around them taken off, and files by field; of a field posted twice the last."""

    values: Mapping[str, str]
    files: Mapping[str, UploadFile]


async def posted(request: Request) -> Posted:
    """The form that this request carries. Raises HTTPException 403 where its token is not that of who sends it."""
    form = await request.form(max_files=1, max_fields=_MOST_FIELDS, max_part_size=_MOST_FIELD_BYTES)
    values = {name: value.strip() for name, value in form.items() if isinstance(value, str)}
    files = {name: value for name, value in form.items() if isinstance(value, UploadFile)}
    given = values.pop(TOKEN_FIELD, "")
    if not hmac.compare_digest(given.encode(), visitor_of(request).form_token.encode()):
        raise HTTPException(403, "This form is not from here, or it is too old: open it again.")
    return Posted(values, files)
