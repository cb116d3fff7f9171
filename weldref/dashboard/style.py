"""Style the page beyond Streamlit's theme, on a screen and on paper.

Containers are reached by the keys that we give them; Streamlit's own test ids are used where
there is no key.
"""

from __future__ import annotations

CSS = """
[data-testid="stMainBlockContainer"] {
  padding: 1rem 2rem 3rem; max-width: 1800px; margin: 0 auto 0 0;
}
[data-testid="stElementToolbar"], [data-testid="InputInstructions"] { display: none; }
h1 { font-size: 1.5rem; line-height: 1.25; margin: 0; padding: 0; font-weight: 650; }
h1 + p { margin: .15rem 0 0; color: #4a5764; }
h2 { font-size: 1.05rem; margin: 0; padding: 0; font-weight: 650; }
h3 { font-size: 1.05rem; margin: 1rem 0 0; padding: 0; font-weight: 650; }
h2 span, h3 span { font-size: .95rem; font-weight: 400; color: #4a5764; margin-left: .5rem; }
.st-key-examples p { margin: 0; color: #4a5764; }
.st-key-examples button { min-height: 2rem; padding: .1rem .7rem; }

.st-key-values { display: grid; grid-template-columns: repeat(auto-fill, minmax(9.2rem, 1fr));
  gap: .6rem .8rem; align-items: start; }
.st-key-values > *, .st-key-values > * > * { width: 100% !important; min-width: 0; }
.st-key-values p { line-height: 1.2; }

/* A list may be wider than its field: what tells two terms apart often stands last. */
[data-testid="stSelectbox"] input { text-overflow: ellipsis; }
[data-testid="stSelectboxVirtualDropdown"] { min-width: min(30rem, 88vw) !important; }

/* The frame: links to the pages on the left, units on the right. */
.st-key-frame { justify-content: space-between; border-bottom: 1px solid #c3ccd3;
  padding-bottom: .4rem; gap: .4rem 1.5rem; }
.st-key-pages { width: auto !important; flex: 0 1 auto; }
.st-key-pages a { min-height: 2.75rem; min-width: 2.75rem; padding: .3rem .9rem; margin: 0;
  border-radius: .4rem; justify-content: center; }
.st-key-pages a p { font-weight: 600; color: #1d4f6b; }
[class*="st-key-here-"] a, [class*="st-key-here-"] a:hover { background: #1d4f6b; }
[class*="st-key-here-"] a p { color: #fff; }
.st-key-frame .stRadio { width: auto; }

/* The card stays in sight while values are changed; its wrapper sticks, for it alone is high. */
[data-testid="stLayoutWrapper"]:has(> .st-key-strip) { position: sticky; top: 0; z-index: 50; }
.st-key-strip { background: #fff; border: 2px solid #1d4f6b; border-radius: .5rem;
  padding: .45rem .7rem .55rem; box-shadow: 0 4px 8px -6px #1f2933; }
.stHtml .lead { margin: 0; font-size: .9rem; line-height: 1.3; color: #38444f; }
.st-key-lead { justify-content: space-between; flex-wrap: wrap; }
.st-key-lead button { min-height: 2rem; padding: .1rem .6rem; }
.stHtml .tiles { display: grid; gap: .35rem .5rem; margin: .3rem 0 0; padding: 0;
  grid-template-columns: repeat(auto-fill, minmax(8.6rem, 1fr)); }
.tile { border-left: 4px solid #7b8794; padding: 0 .1rem 0 .45rem; min-width: 0; }
.tile.read { border-left: 5px solid #1d4f6b; }
.tile.secondary { border-left: 4px dashed #1d4f6b; }
.tile.memory { border-left: 4px dotted #1d4f6b; }
.tile.yours { outline: 1.5px solid #1d4f6b; outline-offset: 1px; }
.tile.outside { outline-color: #9a3412; background: #fdf3ec; }
.tile.differ { outline-color: #5b3a8a; }
.stHtml .tile dt { margin: 0; font-size: .82rem; font-weight: 600; line-height: 1.2; }
.stHtml .tile dt small { font-size: .72rem; font-weight: 400; color: #4a5764; }
.stHtml .tile dd { margin: 0; padding: 0; line-height: 1.2; overflow-wrap: anywhere; }
.stHtml .tile dd b { font-size: 1.15rem; display: block; }
.stHtml .tile dd span { font-size: .75rem; color: #4a5764; display: block; }
.stHtml .sense { margin: 0; padding: 0; list-style: none; }
.stHtml .sense li { margin: .2rem 0; padding: .4rem .7rem; line-height: 1.4;
  border-left: 6px solid #7b8794; background: #f2f5f7; }
.stHtml .sense .cannot-be { border-left-color: #9a3412; background: #fdf3ec; }
.stHtml .sense .unusual { border-left: 6px double #7a5200; }
.sense cite { font-size: .85rem; color: #4a5764; font-style: normal; }
.st-key-title { justify-content: space-between; flex-wrap: nowrap; }
.st-key-further { display: grid; gap: .5rem 1rem; align-items: start;
  grid-template-columns: repeat(auto-fill, minmax(min(16rem, 100%), 1fr)); }
.st-key-further > * { width: 100% !important; min-width: 0; }
.stHtml .caution-list { margin: .4rem 0 0; padding-left: 1.2rem; line-height: 1.4; }
.stHtml .caution-list li { margin: .45rem 0; padding: 0; }
.caution-list cite { display: block; font-size: .85rem; color: #4a5764; font-style: normal; }

.st-key-dials { display: grid; align-items: start; gap: 1.6rem 2rem;
  grid-template-columns: repeat(auto-fit, minmax(min(24rem, 100%), 1fr)); }
.st-key-dials > * { min-width: 0; width: 100% !important; }
[class*="st-key-dial-"] { border-top: 2px solid #1d4f6b; padding-top: .5rem; }
[class*="st-key-head-"] { flex-wrap: nowrap; justify-content: space-between; }
[class*="st-key-head-"] h2 { font-size: 1.15rem; }
.stHtml .start { margin: 0; line-height: 1.35; color: #38444f; }
[class*="st-key-start-"] button { min-height: 2.4rem; padding: .2rem .8rem; }
.stHtml .rare { margin: .15rem 0 0; font-size: .875rem; color: #4a5764; }

.why { display: inline-block; vertical-align: top; max-width: 100%; }
.why[open] { display: block; }
.why summary::marker { content: ""; }
.why summary { cursor: pointer; color: #1d4f6b; text-decoration: underline; padding: 0 .25rem;
  min-height: 1.5rem; }
.why .of { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
.stHtml .why dl { display: grid; grid-template-columns: max-content 1fr; gap: .1rem .8rem;
  margin: .3rem 0 .5rem; padding: .5rem .7rem; background: #f2f5f7; font-size: .9rem; }
.stHtml .why dt { font-weight: 600; margin: 0; }
.stHtml .why dd { margin: 0; overflow-wrap: anywhere; }
.stHtml .around { margin: 0 0 1rem; }
.stHtml .around ul { margin: .2rem 0 0; padding-left: 1.2rem; line-height: 1.4; }
.stHtml .around li { margin: .2rem 0; padding: 0; overflow-wrap: anywhere; }
.stHtml .around li.none { list-style: none; margin-left: -1.2rem; color: #4a5764; }
.stHtml .choices { margin: .3rem 0 0; }
.stHtml .choices > dt { font-weight: 600; margin: .5rem 0 0; }
.stHtml .choices > dd { margin: 0; }
.around .remark { color: #4a5764; }

.st-key-board { display: flex; flex-flow: row wrap; gap: 1.5rem 2.5rem; }
.st-key-board > .st-key-answer, .st-key-board > :has(> .st-key-answer) {
  flex: 3 1 34rem; min-width: 0; width: auto;
}
.st-key-board > .st-key-cautions, .st-key-board > :has(> .st-key-cautions) {
  flex: 1 1 22rem; min-width: 0; width: auto; max-width: 48rem;
}

.stHtml .situation { font-size: 1.1rem; font-weight: 650; margin: 0; overflow-wrap: anywhere; }
.stHtml .situation span { font-weight: 400; color: #4a5764; }
.stHtml .note { margin: .2rem 0 0; color: #4a5764; }
.stHtml .problem { margin: .25rem 0 0; color: #8a2c0d; font-size: .9rem; line-height: 1.35;
  overflow-wrap: anywhere; }
.stHtml .problem::before { content: "Not accepted. "; font-weight: 650; }
.stHtml .empty { margin: 0; padding: .5rem 0; }

.verdict { padding: .7rem 1rem .8rem; border: 1px solid #7b8794; border-left-width: 8px; }
.stHtml .verdict p { margin: .25rem 0 0; line-height: 1.45; }
.stHtml .verdict .asked { margin: 0; }
.stHtml .verdict .reminder { font-size: .9rem; }
.stHtml .verdict .word { font-size: 1.45rem; font-weight: 700; line-height: 1.2; margin: 0; }
.stHtml .verdict .reminder { font-weight: 650; }
.verdict.inside { border-color: #1d4f6b; background: #eff5f8; }
.verdict.outside { border: 3px solid #9a3412; border-left-width: 8px; background: #fdf3ec; }
.stHtml .verdict.outside .word { color: #8a2c0d; }
.verdict.differ { border: 3px double #5b3a8a; border-left: 8px solid #5b3a8a; background: #f6f2fb; }
.verdict.asks { border: 2px solid #14507a; border-left: 8px dotted #14507a; background: #f3f7fa; }
.verdict.none { border: 2px dashed #55626f; background: #fff; }

.stHtml .ask { margin: .2rem 0 0; font-weight: 650; }
.stHtml .answers { margin: .1rem 0 0; padding-left: 1.2rem; color: #38444f; }
.stHtml .answers li { margin: 0; padding: 0; line-height: 1.4; }
.stHtml dl.words { margin: .2rem 0 0; }
.stHtml .words dt { font-weight: 650; margin: .4rem 0 0; }
.stHtml .words dd { margin: 0; }
.stHtml .heading { margin: .9rem 0 0; font-weight: 650; }
.stHtml .rows { margin: .2rem 0 0; padding-left: 1.4rem; line-height: 1.45; }
.stHtml .rows li { margin: .35rem 0; padding: 0 0 0 .2rem; overflow-wrap: anywhere; }
.rows .remark { color: #4a5764; }
.aside { border-top: 1px solid #c3ccd3; border-bottom: 1px solid #c3ccd3; }
.aside + .aside { border-top: 0; }
.aside summary { cursor: pointer; padding: .45rem .2rem; }
.aside[open] { padding-bottom: .6rem; }
.stHtml .more { margin: .2rem 0 0; color: #4a5764; }
.stHtml .together { margin: .4rem 0 0; }
.stHtml .key { display: flex; flex-wrap: wrap; gap: .1rem 1.2rem; list-style: none; margin: 0;
  padding: 0; font-size: .9rem; color: #4a5764; }
.stHtml .key li { margin: 0; padding: 0; display: flex; align-items: center; gap: .4rem; }
.swatch { width: 1.7rem; height: .75rem; border: 2px solid #1d4f6b; flex: none; }
.swatch.solid { background: #8fbdd6; }
.swatch.dashed { border-style: dashed; }
.swatch.dotted { border-style: dotted; }
.swatch.striped { background: repeating-linear-gradient(90deg, #8fbdd6 0 3px, #fff 3px 6px); }
.swatch.line { width: 0; height: 1rem; border-width: 0 0 0 3px; border-color: #1f2933; }
.stHtml .cautions .reminder { margin: .4rem 0 0; font-weight: 650; line-height: 1.4; }
.stHtml .own { margin: .25rem 0 0; padding: .4rem .7rem; border: 2px dashed #1d4f6b;
  font-size: .9rem; }
.stHtml .foot { margin: 1rem 0 0; font-size: .85rem; color: #4a5764; }

:focus-visible { outline: 3px solid #b45309 !important; outline-offset: 2px; }
[data-testid="stTextInputRootElement"]:focus-within, [data-baseweb="select"]:focus-within,
[data-testid="stSelectbox"] [role="group"]:focus-within {
  outline: 3px solid #b45309; outline-offset: 1px; border-radius: .5rem;
}
[data-testid="stTextInputRootElement"] input:focus-visible,
[data-testid="stSelectbox"] [role="group"] input:focus-visible {
  outline: none !important; /* the ring is around the whole field */
}
input::placeholder { color: #5d6975 !important; opacity: 1; }

@media (max-width: 768px) {
  [data-testid="stMainBlockContainer"] { padding: 1rem 1rem 5rem; }
  .stHtml h1 { font-size: 1.3rem; }
  .stHtml h1 + p { display: none; }
  .st-key-examples { gap: .4rem; }
  .st-key-examples button { padding: .1rem .5rem; }
  .stHtml .tiles { grid-template-columns: repeat(3, 1fr); gap: .3rem .3rem; }
  .card { max-height: 52vh; overflow-y: auto; }
  .stHtml .tile dt small { display: none; }
  .stHtml .tile dd b { font-size: 1rem; }
  .st-key-strip { padding: .3rem .4rem .4rem; }
  [class*="st-key-ask-"] button { padding: .1rem .5rem; min-height: 2.6rem; }
  [class*="st-key-ask-"] button p { font-size: .85rem; }
  /* The pages stand at the lower edge, where a thumb reaches them; units at the top. */
  .st-key-pages { position: fixed; left: 0; right: 0; bottom: 0; z-index: 999980;
    width: 100% !important; background: #fff; border-top: 1px solid #7b8794;
    flex-wrap: nowrap; overflow-x: auto; padding-bottom: env(safe-area-inset-bottom); }
  /* No word is broken: pages that do not fit are reached by a swipe. */
  .st-key-pages > *, .st-key-pages > * > * { flex: 1 0 auto; width: auto !important; }
  .st-key-pages > * div { width: 100% !important; max-width: none; text-align: center; }
  .st-key-pages a { padding: .3rem .6rem; min-height: 3.2rem; border-radius: 0; width: 100%; }
  .st-key-pages [data-testid="stElementContainer"] { margin: 0; }
  .st-key-pages a p { font-size: clamp(.72rem, 3.4vw, .875rem); line-height: 1.15; }
  .st-key-pages a p, .st-key-pages a span { white-space: nowrap; overflow: visible; }
  .st-key-frame { border: 0; padding: 0; }
}
@media print {
  [data-testid="stHeader"], .st-key-examples, .st-key-frame, .st-key-view, .st-key-bench,
  .st-key-more-said, .st-key-other-values, [class*="st-key-value-"], .st-key-more,
  [class*="st-key-start-"] button, [class*="st-key-ask-"] {
    display: none !important;
  }
  [data-testid="stApp"], [data-testid="stMain"], [data-testid="stAppViewContainer"] {
    position: static !important; overflow: visible !important; height: auto !important;
  }
  .st-key-board { display: block; }
  details::details-content { content-visibility: visible; }
  /* A row names its source beside it already: its place is printed only where it was opened. */
  .rows .why:not([open]), .why summary { display: none; }
  h2, h3, .heading { break-after: avoid; }
  .verdict, .rows li { break-inside: avoid; }
}
"""
