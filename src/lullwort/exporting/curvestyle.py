"""How a curve looks, for the page around it: many curves share one style. Nothing is told by colour alone."""

from __future__ import annotations

__all__ = ["CURVE_STYLE"]

CURVE_STYLE = (
    ".curve{display:block;width:100%;height:auto;font-size:11px;color:var(--ink,#222)}"
    ".curve text{fill:currentColor;paint-order:stroke;stroke:var(--paper,#fff);stroke-width:3px;stroke-linejoin:round}"
    ".curve .faint{fill:var(--quiet,#5c5c5c)}"
    ".curve .grid{stroke:var(--hair,#ddd);stroke-width:1}.curve .frame{fill:none;stroke:var(--quiet,#666)}"
    ".curve .hourly{fill:none;stroke:var(--quiet,#777);stroke-width:1.5;stroke-linecap:round;opacity:.45}"
    ".curve .smooth{fill:none;stroke:currentColor;stroke-width:1.9;stroke-linejoin:round}"
    ".curve .cold{stroke-dasharray:4 3;stroke-width:1.6}"
    ".curve .guess{stroke-dasharray:5 4;stroke-width:1.3}"
    ".curve .temp{fill:none;stroke:currentColor;stroke-width:1.2}"
    ".curve .sample{fill:var(--paper,#fff);stroke:currentColor;stroke-width:1.6}"
    ".curve .whisker{stroke:currentColor;stroke-width:1.2}"
    ".curve .tick{stroke:currentColor;stroke-width:1;stroke-dasharray:1.5 2.5}"
    ".curve .held{fill:var(--held,#e8eef0);stroke:currentColor;stroke-width:1}"
    ".curve .end{stroke:var(--quiet,#666);stroke-width:1;stroke-dasharray:8 3 1 3}"
)
