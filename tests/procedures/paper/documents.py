"""Invented procedures printed in six layouts and three languages, to be read again.

Every procedure here is invented: no weld was made to any. A document is known by its number;
``texts(number)`` says what is printed on it, ``expected(number)`` what it means, read from the
same values as JSON, and ``printed(number)`` makes the PDF.
"""

from __future__ import annotations

import json
import random
from dataclasses import dataclass
from typing import Any

from weldref.procedures.model import Procedure, values
from weldref.procedures.read import read_bytes

LANGUAGES = ("en", "de", "es")
LAYOUTS = ("pairs", "boxes", "over", "free", "pages", "choices")
COUNT = len(LANGUAGES) * len(LAYOUTS) * 3
"""Fifty-four documents: each layout in each language three times, in inches and in millimetres."""

FIELDS: dict[str, tuple[str, str, str]] = {
    "number": ("WPS No.", "WPS-Nr.", "WPS N.º"),
    "revision": ("Revision", "Revision", "Revisión"),
    "date": ("Date", "Datum", "Fecha"),
    "organization": ("Organization", "Hersteller", "Empresa"),
    "pqr": ("Supporting PQR", "WPQR-Nr.", "PQR de respaldo"),
    "standard": ("Standard", "Regelwerk", "Norma"),
    "process": ("Welding process", "Schweißprozess", "Proceso de soldadura"),
    "mode": ("Type of operation", "Mechanisierungsgrad", "Tipo de operación"),
    "metal": ("Base metal", "Grundwerkstoff", "Metal base"),
    "thickness": ("Base metal thickness range", "Werkstückdicke", "Espesor del metal base"),
    "joint": ("Joint type", "Stoßart", "Tipo de junta"),
    "backing": ("Backing", "Badsicherung", "Respaldo"),
    "opening": ("Root opening", "Stegabstand", "Abertura de raíz"),
    "filler": ("Filler metal classification", "Schweißzusatz Bezeichnung", "Clasificación"),
    "spec": ("AWS specification", "Norm Schweißzusatz", "Especificación AWS"),
    "size": ("Electrode diameter", "Elektrodendurchmesser", "Diámetro del electrodo"),
    "gas": ("Shielding gas", "Schutzgas", "Gas de protección"),
    "flow": ("Gas flow rate", "Schutzgasmenge", "Caudal de gas"),
    "position": ("Position", "Schweißposition", "Posición"),
    "polarity": ("Polarity", "Polung", "Polaridad"),
    "transfer": ("Transfer mode", "Werkstoffübergang", "Modo de transferencia"),
    "preheat": ("Preheat temperature, min.", "Vorwärmtemperatur min.", "Precalentamiento mín."),
    "interpass": (
        "Interpass temperature, max.", "Zwischenlagentemperatur max.",
        "Temperatura entre pasadas máx.",
    ),
    "pwht": ("PWHT", "Wärmenachbehandlung", "Tratamiento térmico posterior"),
    "bead": ("Stringer or weave bead", "Strich-/Pendelraupe", "Cordón recto u oscilado"),
    "cleaning": ("Cleaning", "Reinigung", "Limpieza"),
    "passes_per_side": ("Number of passes", "Einlagig / mehrlagig", "Pasada única o múltiple"),
}  # fmt: skip
"""What forms call a field, in English, German and Spanish."""

COLUMNS: dict[str, tuple[str, str, str, str, str]] = {
    "label": ("Pass", "Lage", "Pasada", "", ""),
    "process": ("Process", "Prozess", "Proceso", "", ""),
    "class": ("Filler class", "Schweißzusatz", "Metal de aporte", "", ""),
    "size": ("Size", "Durchmesser", "Diámetro", "in", "mm"),
    "polarity": ("Polarity", "Polung", "Polaridad", "", ""),
    "amps": ("Current", "Stromstärke", "Corriente", "A", "A"),
    "volts": ("Voltage", "Spannung", "Tensión", "V", "V"),
    "wire": ("Wire feed speed", "Drahtvorschub", "Velocidad de alambre", "in/min", "m/min"),
    "travel": ("Travel speed", "Schweißgeschwindigkeit", "Velocidad de avance", "in/min", "mm/min"),
}

CHOICES: dict[str, tuple[tuple[str, str, str], ...]] = {
    "mode": (
        ("Manual", "Manuell", "Manual"),
        ("Semiautomatic", "Teilmechanisch", "Semiautomático"),
        ("Machine", "Vollmechanisch", "Mecanizado"),
    ),
    "backing": (("Yes", "Ja", "Sí"), ("No", "Nein", "No")),
    "bead": (("Stringer", "Strich", "Recto"), ("Weave", "Pendel", "Oscilado")),
}
"""The choices of a field that is ticked."""


@dataclass(frozen=True)
class Work:
    """What a procedure is for: US and metric values where they differ."""

    name: str
    process: str
    mode: int
    metal: str
    thickness: tuple[str, str]
    joint: tuple[str, str, str]
    filler: str
    spec: str
    sizes: tuple[tuple[str, str], ...]
    gas: str = ""
    flow: tuple[str, str] = ("", "")
    polarity: str = "DCEP"
    transfer: str = ""
    amps: tuple[tuple[int, int], ...] = ((90, 130),)
    volts: tuple[tuple[int, int], ...] = ((20, 24),)
    wire: tuple[str, str] = ("", "")
    travel: tuple[str, str] = ("5 - 8", "130 - 200")
    preheat: tuple[str, str] = ("50 F", "10 C")
    interpass: tuple[str, str] = ("450 F", "230 C")
    position: str = "2F, 3F"


WORKS = (
    Work("POSTS", "SMAW", 0, "ASTM A36", ("3/16 to 3/4 in", "5 - 20 mm"),
         ("Tee joint", "T-Stoß", "Junta en T"), "E7018", "A5.1",
         (("3/32", "2.4"), ("1/8", "3.2")), amps=((70, 100), (105, 145)),
         volts=((20, 23), (21, 25))),
    Work("BRACKETS", "GTAW", 0, "ASTM A240 304L", ("1/16 to 1/4 in", "1.5 - 6 mm"),
         ("Corner joint", "Eckstoß", "Junta de esquina"), "ER308L", "A5.9",
         (("1/16", "1.6"), ("3/32", "2.4")), "Ar", ("15 - 20 cfh", "7 - 10 L/min"), "DCEN",
         amps=((50, 80), (70, 110)), volts=((10, 12), (11, 13)), travel=("3 - 5", "75 - 125"),
         interpass=("300 F", "150 C"), position="1G, 2G"),
    Work("RAMP", "GMAW", 1, "6061-T6", ("1/8 to 3/8 in", "3 - 10 mm"),
         ("Butt joint", "Stumpfstoß", "Junta a tope"), "ER5356", "A5.10", (("3/64", "1.2"),),
         "100% Ar", ("35 - 45 cfh", "16 - 21 L/min"), transfer="Spray", amps=((140, 180),),
         volts=((21, 24),), wire=("320 - 420", "8.1 - 10.7"), travel=("18 - 26", "450 - 660"),
         interpass=("250 F", "120 C"), position="1G"),
    Work("RAILS", "GMAW", 1, "S355J2", ("1/8 to 1/2 in", "3 - 12 mm"),
         ("Tee joint", "T-Stoß", "Junta en T"), "ER70S-6", "A5.18",
         (("0.035", "0.9"), ("0.045", "1.2")), "75 Ar / 25 CO2", ("30 - 40 cfh", "14 - 19 L/min"),
         transfer="Short-circuiting", amps=((120, 160), (150, 200)), volts=((17, 20), (19, 22)),
         wire=("220 - 300", "5.6 - 7.6"), travel=("10 - 15", "250 - 380")),
    Work("STAIRS", "FCAW-G", 1, "ASTM A572 Grade 50", ("1/4 to 1 in", "6 - 25 mm"),
         ("Butt joint", "Stumpfstoß", "Junta a tope"), "E71T-1M", "A5.20",
         (("0.045", "1.2"), ("1/16", "1.6")), "80 Ar / 20 CO2", ("35 - 45 cfh", "16 - 21 L/min"),
         amps=((180, 230), (240, 300)), volts=((24, 27), (26, 29)),
         wire=("250 - 350", "6.3 - 8.9"), travel=("9 - 14", "230 - 355"), position="2G, 3G",
         preheat=("150 F", "65 C")),
    Work("PLINTHS", "SMAW", 0, "ASTM A516 Grade 70", ("3/8 to 1-1/2 in", "10 - 38 mm"),
         ("Butt joint", "Stumpfstoß", "Junta a tope"), "E7016", "A5.1",
         (("1/8", "3.2"), ("5/32", "4.0")), amps=((100, 140), (140, 190)),
         volts=((21, 24), (22, 26)), preheat=("225 F", "110 C"), position="1G"),
    Work("COLLARS", "GTAW", 0, "ASTM B265 Grade 2", ("1/16 to 3/16 in", "1.6 - 5 mm"),
         ("Lap joint", "Überlappstoß", "Junta a solape"), "ERTi-2", "A5.16",
         (("1/16", "1.6"),), "Ar", ("20 - 30 cfh", "10 - 14 L/min"), "DCEN",
         amps=((60, 110),), volts=((10, 13),), travel=("4 - 7", "100 - 180"),
         interpass=("200 F", "95 C"), position="1F"),
)  # fmt: skip


@dataclass(frozen=True)
class Document:
    """What is printed: labels with values, and the table of passes."""

    number: int
    layout: str
    language: int
    metric: bool
    fields: tuple[tuple[str, str], ...]
    columns: tuple[str, ...]
    passes: tuple[tuple[str, ...], ...]

    def label(self, name: str) -> str:
        return FIELDS[name][self.language]

    def heading(self, name: str) -> tuple[str, str]:
        """A heading of the table of passes, and its unit."""
        column = COLUMNS[name]
        return column[self.language], column[3 + self.metric]


def document(number: int) -> Document:
    """Make up the document of a number: the same on every run."""
    drawn = random.Random(number)  # noqa: S311
    layout = LAYOUTS[number % len(LAYOUTS)]
    language = (number // len(LAYOUTS)) % len(LANGUAGES)
    turn = number // (len(LAYOUTS) * len(LANGUAGES))
    metric = (number + turn) % 2 == 1
    work = WORKS[(number * 3 + turn) % len(WORKS)]

    def text(of: str) -> str:
        return of.replace(" to ", " bis " if language == 1 else " a ") if language else of

    def decimal(of: str) -> str:
        return of.replace(".", ",") if language and metric else of

    number_text = f"{work.name}-{number + 11}"
    said: dict[str, str] = {
        "number": number_text,
        "revision": str(drawn.randrange(5)),
        "date": f"2026-0{drawn.randrange(1, 10)}-{drawn.randrange(10, 28)}",
        "organization": ("Footbridge class", "Brückenklasse", "Clase del puente")[language],
        "pqr": f"{number_text}-R",
        "process": work.process,
        "mode": CHOICES["mode"][work.mode][language],
        "metal": work.metal,
        "thickness": decimal(text(work.thickness[metric])),
        "joint": work.joint[language],
        "backing": CHOICES["backing"][drawn.randrange(2)][language],
        "filler": work.filler,
        "spec": work.spec,
        "size": f"{work.sizes[0][metric]} {'mm' if metric else 'in'}",
        "gas": work.gas,
        "flow": work.flow[metric],
        "position": work.position,
        "polarity": work.polarity,
        "transfer": work.transfer,
        "preheat": work.preheat[metric],
        "interpass": work.interpass[metric],
        "bead": CHOICES["bead"][drawn.randrange(2)][language],
        "cleaning": ("Wire brush", "Drahtbürste", "Cepillo de alambre")[language],
    }
    said["size"] = decimal(said["size"])
    left_out = set(drawn.sample(["revision", "pqr", "spec", "backing", "joint", "cleaning"], 2))
    columns = ["label", "process", "class", "size", "polarity", "amps", "volts"]
    columns += ["wire"] if work.wire[0] else []
    columns.append("travel")
    passes = []
    for turn, size in enumerate(work.sizes):
        cells = {
            "label": str(turn + 1),
            "process": work.process,
            "class": work.filler,
            "size": decimal(size[metric]),
            "polarity": work.polarity,
            "amps": "{} - {}".format(*work.amps[turn]),
            "volts": "{} - {}".format(*work.volts[turn]),
            "wire": decimal(work.wire[metric]),
            "travel": work.travel[metric],
        }
        passes.append(tuple(cells[column] for column in columns))
    fields = tuple((k, v) for k, v in said.items() if v and k not in left_out)
    return Document(number, layout, language, metric, fields, tuple(columns), tuple(passes))


def expected(number: int) -> dict[str, str]:
    """What the document says, by field: the same texts under English keys, as JSON."""
    made = document(number)
    value: dict[str, Any] = {FIELDS[name][0]: text for name, text in made.fields}
    names = [
        f"{COLUMNS[name][0]} ({COLUMNS[name][3 + made.metric]})" if COLUMNS[name][3]
        else COLUMNS[name][0]
        for name in made.columns
    ]  # fmt: skip
    value["passes"] = [dict(zip(names, cells, strict=True)) for cells in made.passes]
    (procedure,) = read_bytes(json.dumps(value).encode(), "expected.json")
    return said(procedure)


def said(procedure: Procedure) -> dict[str, str]:
    """Every value of a procedure, by field; what no field takes is left out."""
    return {
        name: str(value)
        for name, value in values(procedure)
        if not name.startswith(("other", "remarks"))
    }


def printed(number: int) -> bytes:
    """Print a document as a PDF with text."""
    import typst

    made = document(number)
    source = HEAD + LAYOUT_OF[made.layout](made)
    pdf = typst.compile(source.encode(), ignore_system_fonts=True)
    assert isinstance(pdf, bytes)
    return pdf


HEAD = """
#set page(paper: "a4", margin: 14mm)
#set text(9pt)
#set table(stroke: 0.5pt, inset: 4pt)
#let tick(on, body) = box(box(width: 2.6mm, height: 2.6mm, stroke: 0.5pt, baseline: 0.3mm)[
  #if on {
    place(line(start: (0%, 0%), end: (100%, 100%), stroke: 0.6pt))
    place(line(start: (100%, 0%), end: (0%, 100%), stroke: 0.6pt))
  }
] + h(1mm) + body + h(4mm))
"""
TITLES = (
    "Welding procedure specification", "Schweißanweisung", "Especificación del procedimiento"
)  # fmt: skip


def _s(text: str) -> str:
    """A text of typst: a string, so that nothing in it is markup."""
    return "#" + json.dumps(text, ensure_ascii=False)


def _title(made: Document) -> str:
    return f'#align(center, text(14pt, weight: "bold")[{_s(TITLES[made.language])}])\n'


def _table(made: Document, *, ruled: bool = True, unit_row: bool = False) -> str:
    count = len(made.columns)
    heads = [made.heading(name) for name in made.columns]
    stroke = "0.5pt" if ruled else "none"
    cells = []
    if unit_row:
        cells += [f"[{_s(head)}]" for head, _ in heads]
        cells += [f"[{_s(f'({unit})' if unit else '')}]" for _, unit in heads]
    else:
        cells += [
            f"[{_s(head)} #linebreak() {_s(f'({unit})')}]" if unit else f"[{_s(head)}]"
            for head, unit in heads
        ]
    cells += [f"[{_s(cell)}]" for line in made.passes for cell in line]
    return (
        f"#v(4mm)\n#text(8pt)[#table(columns: {count}, align: center, stroke: {stroke}, "
        f"column-gutter: {'0pt' if ruled else '3mm'}, {', '.join(cells)})]\n"
    )


def _pairs(made: Document) -> str:
    cells = [part for name, text in made.fields for part in (made.label(name), text)]
    cells += ["", ""] * (len(made.fields) % 2)
    return (
        _title(made)
        + f"#table(columns: (1.3fr, 1fr, 1.3fr, 1fr), {', '.join(f'[{_s(c)}]' for c in cells)})\n"
        + _table(made)
    )


def _boxes(made: Document) -> str:
    parts = [f"{_s(made.label(name))}: {_s(text)}" for name, text in made.fields]
    groups = [parts[at : at + 4] for at in range(0, len(parts), 4)]
    cells = [f"[{' #linebreak() '.join(group)}]" for group in groups]
    cells += ["[]"] * (len(cells) % 2)
    return _title(made) + f"#table(columns: (1fr, 1fr), {', '.join(cells)})\n" + _table(made)


def _over(made: Document) -> str:
    cells = [
        f"[#text(7pt)[{_s(made.label(name))}] #linebreak() {_s(text)}]"
        for name, text in made.fields
    ]
    cells += ["[]"] * (-len(cells) % 4)
    return (
        _title(made)
        + f"#table(columns: (1fr, 1fr, 1fr, 1fr), {', '.join(cells)})\n"
        + _table(made, unit_row=True)
    )


def _free(made: Document) -> str:
    cells = [part for name, text in made.fields for part in (made.label(name), text)]
    cells += ["", ""] * (len(made.fields) % 2)
    return (
        _title(made)
        + "#grid(columns: (1.4fr, 1fr, 1.4fr, 1fr), row-gutter: 3mm, column-gutter: 3mm, "
        + f"{', '.join(f'[{_s(c)}]' for c in cells)})\n"
        + _table(made, ruled=False)
    )


def _pages(made: Document) -> str:
    lines = [f"{_s(made.label(name))}: #h(2mm) {_s(text)}" for name, text in made.fields]
    return _title(made) + " #linebreak()\n".join(lines) + "\n#pagebreak()\n" + _table(made)


def _choices(made: Document) -> str:
    cells = []
    for name, text in made.fields:
        cells.append(f"[{_s(made.label(name))}]")
        if name in CHOICES:
            choices = [choice[made.language] for choice in CHOICES[name]]
            ticks = (f"#tick({str(one == text).lower()}, [{_s(one)}])" for one in choices)
            cells.append(f"[{' '.join(ticks)}]")
        else:
            cells.append(f"[{_s(text)}]")
    return _title(made) + f"#table(columns: (1fr, 2fr), {', '.join(cells)})\n" + _table(made)


LAYOUT_OF = {
    "pairs": _pairs, "boxes": _boxes, "over": _over,
    "free": _free, "pages": _pages, "choices": _choices,
}  # fmt: skip
