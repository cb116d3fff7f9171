"""Style rows: a table where there is room, a card for each row on a phone."""

from __future__ import annotations

CSS = """
.stHtml .told { margin: 0; line-height: 1.45; max-width: 62rem; }
.stHtml .told span { color: #4a5764; }
.st-key-pick { display: grid; gap: .6rem 1.2rem; align-items: start;
  grid-template-columns: repeat(auto-fit, minmax(min(24rem, 100%), 1fr)); }
.st-key-pick > * { width: 100% !important; min-width: 0; }
.sheet { overflow-x: auto; border: 1px solid #c3ccd3; }
.sheet table { border-collapse: separate; border-spacing: 0; width: 100%; font-size: .93rem;
  margin: 0; line-height: 1.35; }
.sheet caption { position: absolute; width: 1px; height: 1px; overflow: hidden; }
.sheet th, .sheet td { text-align: left; vertical-align: top; padding: .4rem .6rem; border: 0;
  border-bottom: 1px solid #dde3e8; min-width: 4.5rem; max-width: 22rem;
  overflow-wrap: break-word; }
.sheet th { font-weight: 650; background: #f2f5f7; white-space: nowrap; }
.sheet td.number { font-variant-numeric: tabular-nums; }
.sheet td.long { min-width: 15rem; }
.sheet .origin { position: sticky; right: 0; background: #fff; border-left: 1px solid #c3ccd3;
  width: 21rem; min-width: 21rem; max-width: 21rem; }
.sheet th.origin { background: #f2f5f7; }
.sheet summary { cursor: pointer; padding: 0; min-height: 1.5rem; }
.sheet details:not([open]) summary { display: -webkit-box; -webkit-box-orient: vertical;
  -webkit-line-clamp: 2; overflow: hidden; }
.sheet summary::before { content: "▸ "; }
.sheet details[open] summary::before { content: "▾ "; }
.sheet dl { margin: .3rem 0 .2rem; padding: .4rem .6rem; background: #f2f5f7; }
.sheet dt { font-weight: 650; margin-top: .25rem; font-size: .9rem; }
.sheet dd { margin: 0; overflow-wrap: anywhere; }
.grade { display: inline-block; padding: 0 .4rem; border: 1.5px solid #1d4f6b; font-size: .85rem; }
.grade.secondary { border-style: dashed; }
.grade.memory { border-style: dotted; border-width: 2px; }
.st-key-downloads button, .st-key-elsewhere button, .st-key-turning button { min-height: 2.3rem; }
.st-key-elsewhere p, .st-key-downloads p { margin: 0; }

@media (max-width: 1100px) and (min-width: 769px) {
  .sheet .origin { width: 15rem; min-width: 15rem; max-width: 15rem; }
}
@media (max-width: 768px) {
  .sheet { border: 0; overflow: visible; }
  .sheet table, .sheet tbody, .sheet tr, .sheet td { display: block; width: auto !important; }
  .sheet thead { display: none; }
  .sheet tr { border: 1px solid #c3ccd3; padding: .4rem .7rem; margin-bottom: .7rem; }
  .sheet td, .sheet td.long { display: grid; grid-template-columns: 8rem minmax(0, 1fr);
    gap: .5rem; border: 0; padding: .2rem 0; min-width: 0; max-width: none; }
  .sheet td.void { display: none; }
  .sheet td::before { content: attr(data-label); color: #4a5764; overflow-wrap: anywhere; }
  .sheet .origin { position: static; border: 0; border-top: 1px solid #dde3e8; max-width: none;
    min-width: 0; margin-top: .3rem; padding-top: .4rem; }
  .sheet details:not([open]) summary { display: block; -webkit-line-clamp: none; }
  .sheet summary { padding: .4rem 0; }
}
"""
