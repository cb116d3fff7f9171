"""Style the formulas: a list by subject, and a result that is easy to find."""

from __future__ import annotations

CSS = """
.stHtml .told { margin: 0; line-height: 1.45; max-width: 62rem; color: #4a5764; }
.st-key-calculators-list { display: block; columns: 4 22rem; column-gap: 2.5rem; }
.st-key-calculators-list > * { width: 100% !important; break-inside: avoid; margin: 0 0 1.2rem; }
.st-key-calculators-list h2 { margin: 0 0 .2rem; }
.st-key-calculators-list button { justify-content: flex-start; text-align: left; width: 100%;
  min-height: 2.4rem; padding: .25rem 0; border: 0; border-bottom: 1px solid #dde3e8;
  border-radius: 0; }
.st-key-calculators-list button p { white-space: normal; text-align: left; line-height: 1.3; }
.st-key-calculators-list button > div { justify-content: flex-start; }
.st-key-calculators-board { display: flex; flex-flow: row wrap; gap: 1.5rem 2.5rem;
  align-items: flex-start; }
.st-key-calculators-board > :has(> .st-key-calculators-entry),
.st-key-calculators-board > .st-key-calculators-entry { flex: 1 1 22rem; min-width: 0; width: auto;
  max-width: 40rem; }
.st-key-calculators-board > :has(> .st-key-calculators-answer),
.st-key-calculators-board > .st-key-calculators-answer { flex: 2 1 30rem; min-width: 0;
  width: auto; max-width: 60rem; }
[class*="st-key-calculators-fields"] { display: grid; gap: .6rem .8rem; align-items: end;
  grid-template-columns: repeat(auto-fill, minmax(min(15rem, 100%), 1fr)); }
[class*="st-key-calculators-fields-narrow"] {
  grid-template-columns: repeat(auto-fill, minmax(min(9.5rem, 100%), 1fr)); }
[class*="st-key-calculators-fields"] > * { width: 100% !important; min-width: 0; }
.stHtml .equation { margin: .5rem 0 0; padding: .5rem .8rem; background: #f2f5f7;
  font-size: 1.05rem; line-height: 1.6; overflow-wrap: anywhere; }
.equation b { font-weight: 650; color: #1d4f6b; }
.result { padding: .7rem 1rem .8rem; border: 2px solid #1d4f6b; border-left-width: 8px;
  background: #fff; }
.result.secondary { border-style: dashed; border-left-style: solid; }
.result.memory { border: 3px dotted #1d4f6b; border-left: 8px solid #1d4f6b; }
.stHtml .result p { margin: .25rem 0 0; line-height: 1.45; }
.stHtml .result .asked { margin: 0; }
.stHtml .result .value { font-size: 1.6rem; font-weight: 700; line-height: 1.25;
  margin: .1rem 0 0; }
.result .value span { font-weight: 500; font-size: 1.25rem; white-space: nowrap; }
.stHtml .result .grade-line { font-weight: 650; }
.stHtml .caveats { margin: .2rem 0 0; padding-left: 1.3rem; line-height: 1.45; }
.stHtml .caveats li { margin: .25rem 0; }
.waiting { padding: .6rem 1rem; border: 2px dashed #55626f; }
.stHtml .waiting p, .stHtml .waiting ul { margin: 0; }
.stHtml .waiting ul { padding-left: 1.3rem; }
.stHtml .about p { margin: .4rem 0 0; line-height: 1.45; }
.stHtml .rows.found { padding-left: 1.2rem; }
.stHtml pre { white-space: pre-wrap; overflow-wrap: anywhere; margin: .3rem 0; padding: .5rem;
  background: #f2f5f7; }
"""
