"""Ink and paper of all that is shown to a browser, light and dark: the page of a batch, the card, and their curves."""

from __future__ import annotations

__all__ = ["INKS"]

INKS = """
:root{color-scheme:light dark;--paper:#fdfcf8;--ink:#1c2326;--quiet:#555f63;--hair:#dcdfd9;--rule:#1c2326;
--held:#dfe9ea;--danger:#8c1c13;--desk:#e9e8e2}
@media(prefers-color-scheme:dark){:root{--paper:#171b1d;--ink:#e9e7e0;--quiet:#a9b1b3;--hair:#363d40;--rule:#8d9799;
--held:#25383d;--danger:#ff9d92;--desk:#0f1213}}
"""
"""Every pair of ink and paper has a contrast of at least 4.5 (WCAG 2.2, 1.4.3), which tests hold."""
