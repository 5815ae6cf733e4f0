"""What the card lets a brewer do by hand: forms, each of which is a declaration, and one handler for all."""

from __future__ import annotations

from lullwort.card.forms.doing import Doing, FormOf
from lullwort.card.forms.form import Form
from lullwort.card.forms.routes import form_routes

__all__ = ["Doing", "Form", "FormOf", "form_routes"]
