"""One handler for all forms: shown when it is asked for, and done by its command when it is posted."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from lullwort.card.commands.commands import BusyError, Commands, Ran
from lullwort.card.commands.onwards import OnceOnly, Told
from lullwort.card.commands.said import doubts_of, faults_of, told_html
from lullwort.card.door.posted import OldFormError, posted
from lullwort.card.door.visitor import visitor_of
from lullwort.card.forms.form import ONCE_FIELD, Form
from lullwort.card.forms.inunits import InUnits
from lullwort.card.known.cellar import Cellar
from lullwort.card.known.desk import Desk
from lullwort.card.pages.chosen import chosen_settings, unit_options
from lullwort.card.pages.fields import INSIST_FIELD
from lullwort.card.pages.page import page
from lullwort.settings import Settings

__all__ = ["Doing", "FormOf"]

FormOf = Callable[[Cellar, Settings], Form | None]
"""Makes a form from what is on record, for somebody who has chosen those units; None where there is nothing to do."""

_OLD = "This form was shown too long ago, so nothing was done. Look whether this is still meant, and send it again."
_BUSY = "So much is being entered just now that this was not begun, and nothing was done. Send it again in a minute."
_WITHIN_S = 60.0


class _Came(NamedTuple):
    """What came of a form: how its command ended, None where that took too long."""

    ran: Ran | None

    @property
    def lasts(self) -> bool:
        return self.ran is not None and self.ran.done


@dataclass
class Doing:
    """Shows forms and does what they ask for."""

    settings: Settings
    desk: Desk
    commands: Commands
    told: Told = field(default_factory=Told)
    _once: OnceOnly[_Came] = field(default_factory=lambda: OnceOnly(lambda came: came.lasts))

    async def answer(self, request: Request, form_of: FormOf) -> Response:
        """The form, or where to go on once it is done. Raises HTTPException 404 where there is no such form."""
        chosen = chosen_settings(request, self.settings)
        old = False
        try:
            entered = (await posted(request)).values if request.method == "POST" else None
        except OldFormError as exc:
            if request.headers.get("origin") is None:  # nothing tells that a page of ours sent it
                raise
            entered, old = exc.values, True
        form = await self.desk.ask(lambda cellar: form_of(cellar, chosen))
        if form is None:
            raise HTTPException(404)
        if entered is None:
            return self.shown(request, form.begun(request.query_params.multi_items(), InUnits.of(chosen).moment))
        if old:
            return self.shown(request, form, entered, {"": _OLD}, 403)
        options = unit_options(chosen)
        faults = form.faults(entered)
        if faults:
            return self.shown(request, form, entered, await self._all_faults(form, entered, faults, options))
        words = form.words(entered, options)
        if form.insist:
            asked = await self._asked(form, entered, words, options)
            if asked is not None:
                return self.shown(request, form, entered, {"": asked[0]}, insisted=asked[1])
        return await self._done(request, form, entered, words)

    def shown(
        self, request: Request, form: Form, entered: Mapping[str, str] | None = None,
        errors: Mapping[str, str] | None = None, status: int = 422, *, insisted: str = "",
    ) -> Response:  # fmt: skip
        """The page of a form; with what was posted, and why it is not done, where it was.

        Args:   insisted: what the button posts by which it is done all the same.
        """
        action = quote(request.scope["path"]) + (f"?{request.url.query}" if request.url.query else "")
        body = form.body(
            action, visitor_of(request).form_token, secrets.token_urlsafe(9), entered, errors or {}, insisted
        )
        title = f"Not done: {form.title}" if errors else form.title
        return HTMLResponse(page(title, body), status if errors else 200)

    def done(self, request: Request, after: str, note: str) -> Response:
        """Go on to `after`, where `note` (HTML) is shown once."""
        called = self.told.keep(visitor_of(request).name, note)
        address, mark, part = after.partition("#")
        return RedirectResponse(f"{address}?told={called}{mark}{part}", 303)

    def told_to(self, request: Request) -> str:
        """What is to be shown once to whoever asks for this page, as HTML; empty where there is nothing."""
        called = request.query_params.get("told", "")
        return self.told.take(visitor_of(request).name, called) if called else ""

    async def _all_faults(
        self, form: Form, entered: Mapping[str, str], faults: Mapping[str, str], options: list[str]
    ) -> Mapping[str, str]:
        """What is wrong by the form itself, and what its command finds wrong with the rest."""
        if not form.tried or not any(faults):
            return faults
        words = form.words(form.without(entered, faults), options, trial=True)
        (ran,) = await self._ran(words)
        if ran is None or ran.done or ran.failed:
            return faults
        return {**faults_of(ran, form.fields, form.batch), **faults}

    async def _asked(
        self, form: Form, entered: Mapping[str, str], words: list[str], options: list[str]
    ) -> tuple[str, str] | None:
        """What the command doubts of this, and what is to be posted to have it all the same; None where it has no
        doubt, or somebody has seen this one and insists."""
        mark = hashlib.sha256("\0".join(words).encode()).hexdigest()[:16]
        if hmac.compare_digest(entered.get(INSIST_FIELD, "").encode(errors="replace"), mark.encode()):
            return None
        (ran,) = await self._ran(form.words(entered, options, trial=True))
        if ran is None or not ran.done or not ran.err.strip():
            return None  # what it refuses it tells when it is asked for
        return doubts_of(ran, form.fields, form.batch), mark

    async def _done(self, request: Request, form: Form, entered: Mapping[str, str], words: list[str]) -> Response:
        # The same words may be meant twice ("now"), the same showing of a form with the same words only once.
        once = (visitor_of(request).name, entered.get(ONCE_FIELD) or secrets.token_urlsafe(9), *words)
        try:
            (ran,), again = await self._once.do(once, lambda: self._ran(words))
        except BusyError:
            return self.shown(request, form, entered, {"": _BUSY}, 503)
        if ran is None:
            late = (
                f"It took longer than {_WITHIN_S:.0f} s and was ended. Look whether it was done before you send it "
                "again."
            )
            return self.shown(request, form, entered, {"": late}, 503)
        if not ran.done:
            faults = faults_of(ran, form.fields, form.batch)
            return self.shown(request, form, entered, faults, 503 if ran.failed else 422)
        return self.done(
            request, form.goes_on_to(entered), told_html(ran, form.done, form.fields, form.batch, again=again)
        )

    async def _ran(self, words: list[str]) -> _Came:
        try:
            return _Came(await self.commands.run(*words, within_s=_WITHIN_S))
        except TimeoutError:
            return _Came(None)
