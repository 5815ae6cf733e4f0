"""How the page of a batch looks: a card as it hangs at a bench, ruled, in ink, to be written on."""

from __future__ import annotations

from lullwort.exporting.inks import INKS

__all__ = ["SHEET_STYLE"]

SHEET_STYLE = (
    INKS
    + """
*{box-sizing:border-box}
body{margin:0;background:var(--desk);color:var(--ink);
font:15px/1.42 Charter,"Bitstream Charter","Iowan Old Style",Georgia,"Liberation Serif","Times New Roman",serif;
font-variant-numeric:tabular-nums lining-nums;overflow-wrap:anywhere}
.sheet{max-width:900px;margin:0 auto;padding:28px 32px 20px;background:var(--paper);min-height:100vh}
h1,h2,p,ul,dl,dd,figure{margin:0;padding:0}
h1{font-size:1.9em;line-height:1.1;font-weight:600;letter-spacing:-.01em}
h2,.kind{font-size:.74em;font-weight:600;letter-spacing:.13em;text-transform:uppercase;color:var(--quiet)}
h2{border-bottom:1px solid var(--rule);padding-bottom:.15em;margin-bottom:.3em;color:var(--ink)}
header{display:flex;gap:24px;justify-content:space-between;align-items:stretch;border-bottom:3px double var(--rule);
padding-bottom:12px;margin-bottom:12px}
.answer{flex:none;max-width:48%;border:1.5px solid var(--rule);padding:6px 14px;text-align:center}
.answer .word{white-space:nowrap;font-size:1.7em;line-height:1.15;font-weight:700}
.danger{border:2px solid var(--danger);color:var(--danger);padding:6px 10px;font-weight:600}
.warned{display:block}.warned .danger{margin:8px 0}
.warned .answer{max-width:none;display:flex;flex-wrap:wrap;gap:0 .6em;align-items:baseline;border:0;padding:0;
text-align:left}
.why p+p{margin-top:.35em}
.why b{font-size:.74em;letter-spacing:.13em;text-transform:uppercase;margin-right:.3em}
code{font-family:"Liberation Mono",Menlo,Consolas,monospace;font-size:.86em}
figure{margin:14px 0 12px}
figcaption,small,.left,footer,.nothing{color:var(--quiet);font-size:.86em}
figcaption{margin-top:2px}
.small{display:none}
.nothing{margin:.8em 0}
.facts{columns:2;column-gap:28px;margin-bottom:4px}
section{break-inside:avoid}
.facts>section{margin-bottom:12px}
.events{break-inside:auto}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:baseline;padding:1.5px 0;border-bottom:1px solid var(--hair);font-weight:400}
th[scope=row]{color:var(--quiet);padding-right:10px}
.facts th[scope=row]{width:33%}
.facts .events th[scope=row]{width:1%;white-space:nowrap}
.mark{width:1.9em;font-weight:700}
.unseen{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
ul{list-style:none}
.evidence{font-size:.93em;margin:6px 0 12px}
.evidence th[scope=row]{white-space:nowrap;color:var(--ink);width:1%}
.evidence td:nth-child(2){white-space:nowrap;padding-right:12px;width:1%}
.fails{font-weight:700}
.hand dl{display:grid;grid-template-columns:repeat(4,1fr);gap:4px 16px}
.hand dt{grid-row:1;font-size:.86em;color:var(--quiet)}
.hand dd{grid-row:2;border-bottom:1px solid var(--quiet);height:1.7em}
.lines{height:5.6em;overflow:hidden}
.lines i{display:block;height:1.85em;border-bottom:1px solid var(--hair)}
footer{margin-top:10px}
footer code{white-space:nowrap}
@media screen and (max-width:640px){
.sheet{padding:16px 14px}
header{display:block}.answer{max-width:none;margin-top:12px}
.facts{columns:1}.wide{display:none}.small{display:block}
.evidence th[scope=row]{white-space:normal;width:24%}
.hand dl{grid-template-columns:repeat(2,1fr)}.hand dt,.hand dd{grid-row:auto}
.hand dl{display:block}
}
@page{margin:12mm}
@media print{
:root{color-scheme:light;--paper:#fff;--ink:#000;--quiet:#333;--hair:#bbb;--rule:#000;--held:#ececec;--danger:#000;
--desk:#fff}
body{background:#fff;font-family:"Times New Roman","Liberation Serif",Tinos,Charter,serif;font-size:8.4pt;
font-size-adjust:.448;line-height:1.24;-webkit-print-color-adjust:exact;print-color-adjust:exact}
.sheet{max-width:none;padding:0;min-height:250mm;display:flex;flex-direction:column}
h1{font-size:19pt}
header{padding-bottom:1.6mm;margin-bottom:1.6mm;gap:8mm}
.answer{padding:.8mm 4mm}.answer .word{font-size:15pt}
.danger{padding:1mm 2mm}.warned .danger{margin:1mm 0}.warned .answer{padding:0}
figure{margin:1.6mm 0 1.4mm}
.facts{column-gap:7mm;margin:0}
.facts>section{margin-bottom:1.8mm}
th,td{padding-top:.25mm;padding-bottom:.25mm}
.evidence{font-size:7.4pt;line-height:1.18;margin:1.2mm 0 1.6mm}
figcaption,small,.left,footer,.nothing{font-size:7pt}
.hand{margin-top:1mm}
h2,.kind{font-size:6.6pt}
h2{margin-bottom:.4mm;padding-bottom:.2mm}
.dense{font-size:7.7pt;line-height:1.16}.dense th,.dense td{padding-top:.15mm;padding-bottom:.15mm}
.dense .facts>section{margin-bottom:1.2mm}.dense .evidence{font-size:7pt;line-height:1.12}
.dense figcaption,.dense small,.dense .left,.dense footer{font-size:6.6pt}
.hand{flex:1 0 17mm;display:flex;flex-direction:column;min-height:17mm}
.hand dd{height:5mm}
.lines{flex:1 1 0;height:auto;min-height:0}.lines i{height:7mm;border-color:#888}
footer{margin-top:1mm;line-height:1.1}
}
"""
)
