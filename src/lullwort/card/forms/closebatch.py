"""A batch is closed: it has been packaged. First stands whether it may be."""

from __future__ import annotations

from lullwort.card.forms.batches import page_of
from lullwort.card.forms.entryfields import container_field, done_fields, entered_values, moment_field, sugar_field
from lullwort.card.forms.form import Form
from lullwort.card.forms.inunits import InUnits
from lullwort.card.known.cellar import Cellar
from lullwort.card.pages.fields import Field, Html
from lullwort.card.pages.markup import batch_path, prose, vessel_path
from lullwort.detector import MAY_BE_PACKAGED, Judged, reason
from lullwort.exporting import escaped
from lullwort.records import Batch
from lullwort.settings import Settings

__all__ = ["close_form"]

_DANGER = (
    "It is not proved that this beer has ended ({verdict}). What is closed in now may go on fermenting, and bottles "
    "can burst. If some are filled already, keep them cold, closed in and away from people, and handle them only with "
    "eyes and hands covered."
)


def close_form(cellar: Cellar, settings: Settings, name: str) -> Form | None:
    """Of a batch that is on record; None for another. One that is closed already is dated anew."""
    facts, shown = cellar.batch(name), InUnits.of(settings)
    if facts is None:
        return None
    batch, judged = facts.batch, facts.judged
    packaged = moment_field(
        "packaged", "It was packaged", "--packaged", shown, empty="" if batch.packaged_us is None else "now"
    )._replace(always=True)
    if batch.packaged_us is None:
        packaged = packaged._replace(hint=f"{packaged.hint} Left empty it means now.")
    moved, primed, filled = done_fields(shown)
    boxes = () if judged.proved else (_KNOWN,)
    values = entered_values(batch, shown) | {"packaged": shown.moment(batch.packaged_us)}
    return Form(
        f"Close {name}: it is packaged" if batch.packaged_us is None else f"Date the packaging of {name} anew",
        ("batch", "close"),
        (packaged, moved, primed, sugar_field(""), filled, container_field(""), *boxes),
        "It is packaged: close the batch" if batch.packaged_us is None else "Date it anew",
        "Closed." if batch.packaged_us is None else "Dated anew.",
        page_of(cellar, batch),
        arguments=(f"batch:{name}",),
        values=values,
        lead=Html(f"{_verdict(judged, shown)}{_elsewhere(batch)}"),
        warning="" if judged.proved else _danger(judged),
        batch=name,
        changes=True,
        tried=True,
    )


_KNOWN = Field(
    "known", "I know that this beer is not proved to have ended, and that bottles can burst", kind="box", required=True
)


def _verdict(judged: Judged, shown: InUnits) -> Html:
    then = judged.before_packaging
    says = prose(reason(then.verdict, then.now, shown.units), judged.batch.name)
    when = "May it be packaged?" if then is judged else "Might it be packaged?"
    return Html(
        f'<p class="answer">{when} <b>{escaped(MAY_BE_PACKAGED[then.verdict])}</b> ({escaped(then.verdict)}).</p>'
        f"<p>{says}</p>"
    )


def _elsewhere(batch: Batch) -> str:
    """Where else a brewer may have meant to go."""
    return (
        f'<p>Is an entry of it wrong? <a href="{batch_path(batch.name, "edit")}">Correct its entries</a>. Once it is '
        f'closed, <a href="{vessel_path(batch.vessel, "open")}">open the next batch in {escaped(batch.vessel)}</a>.</p>'
    )


def _danger(judged: Judged) -> str:
    return f'<p class="danger"><b>Danger:</b> {escaped(_DANGER.format(verdict=judged.before_packaging.verdict))}</p>'
