"""What a browser has posted: the fields of a form, once its token has shown that the form was ours."""

from __future__ import annotations

from collections.abc import AsyncGenerator, Mapping
from tempfile import SpooledTemporaryFile
from typing import BinaryIO, NamedTuple, cast

from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.formparsers import FormParser, MultiPartException, MultiPartParser
from starlette.requests import Request

from lullwort.card.door.seals import same_form
from lullwort.card.door.uploadroom import OnItsWay, UploadRoom, disk_fault
from lullwort.card.door.visitor import visitor_of
from lullwort.card.pages.fields import TOKEN_FIELD

__all__ = ["OldFormError", "Posted", "forget_files", "posted", "typed", "uploads_go_to"]

_MOST_FIELDS, _MOST_FIELD_BYTES = 60, 16_384
_HELD_BYTES = 1 << 20
"""Of a file in memory; a longer one goes to the disk as it comes."""


class Posted(NamedTuple):
    """Values by field, blanks around them taken off, and files by field; of a field posted twice the last."""

    values: Mapping[str, str]
    files: Mapping[str, UploadFile]


class OldFormError(HTTPException):
    """The form is not one of ours, or was shown before the token was changed. `values` are as they were typed."""

    def __init__(self, values: Mapping[str, str]) -> None:
        super().__init__(403, "This form is not from here, or it is too old: nothing was done.")
        self.values = values


async def posted(request: Request) -> Posted:
    """The form that this request carries.

    Raises: OldFormError where its token is not that of who sends it; HTTPException 400 where it is no form, 413 where
            it is too long, 507 where the disk has no room for its file, and 503 where it does not take it.
    """
    form = request.state.form = await _form(request, files=True)
    values = _values(form)
    files = {name: value for name, value in form.items() if isinstance(value, UploadFile)}
    given = values.pop(TOKEN_FIELD, "")
    if not same_form(given, visitor_of(request).form_token):
        raise OldFormError(values)
    return Posted(values, files)


async def typed(request: Request) -> Mapping[str, str]:
    """The values of a form that has neither form token nor file, for who fills it in is not known yet.

    Raises: HTTPException 400 where it is no such form.
    """
    return _values(await _form(request, files=False))


def uploads_go_to(request: Request, room: UploadRoom) -> None:
    """Files that this request carries are put there while they come, without a name, and are gone with it."""
    request.state.uploads = room


async def forget_files(request: Request) -> None:
    """What the request brought is held no longer."""
    form: FormData | None = getattr(request.state, "form", None)
    if form is not None:
        await form.close()
    coming: OnItsWay | None = getattr(request.state, "coming", None)
    if coming is not None:
        coming.end()


def _values(form: FormData) -> dict[str, str]:
    return {name: value.strip() for name, value in form.items() if isinstance(value, str)}


async def _form(request: Request, *, files: bool) -> FormData:
    media = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    try:
        if files and media == "multipart/form-data":
            return await _FileParser(request).parse()
        if media == "application/x-www-form-urlencoded":
            parser = FormParser(
                request.headers, request.stream(), max_fields=_MOST_FIELDS, max_part_size=_MOST_FIELD_BYTES
            )
            return await parser.parse()
    except MultiPartException as exc:
        raise HTTPException(400, f"The form could not be read: {exc.message}") from exc
    except OSError as exc:
        raise disk_fault(exc) from exc
    except ValueError as exc:  # of what the parser stands on
        raise HTTPException(400) from exc
    raise HTTPException(400, "What was sent is no form.")


class _FileParser(MultiPartParser):
    """Puts a file that is long where there is room for it: the system's own folder for such is often memory."""

    spool_max_size = _HELD_BYTES
    _charset = property(lambda _: "utf-8", lambda _, __: None)
    """Of names and values, whatever is stated: browsers send the encoding of the page [WHATWG HTML, 4.10.21.8], and
    what else a codec of that name would do is nobody's to choose."""

    def __init__(self, request: Request) -> None:
        self._room: UploadRoom | None = getattr(request.state, "uploads", None)
        stream: AsyncGenerator[bytes, None] = request.stream()
        if self._room is not None:
            stated = request.headers.get("content-length", "")
            coming = request.state.coming = self._room.begin(int(stated) if stated.isdecimal() else 0)
            stream = coming.counted(stream)
        super().__init__(request.headers, stream, max_files=1, max_fields=_MOST_FIELDS, max_part_size=_MOST_FIELD_BYTES)

    def on_headers_finished(self) -> None:
        """A file begins, or a field."""
        super().on_headers_finished()
        upload = self._current_part.file
        if upload is None or self._room is None:
            return
        upload.file.close()
        file = self._files_to_close_on_error[-1] = self._file_in(self._room)
        upload.file = cast("BinaryIO", file)  # it has all that one has but the name

    def _file_in(self, room: UploadRoom) -> SpooledTemporaryFile[bytes]:
        """Closed with the form, or where that fails to be read."""
        return SpooledTemporaryFile(max_size=self.spool_max_size, dir=str(room.folder))
