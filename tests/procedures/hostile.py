"""Files that mean harm, made when they are needed."""

from __future__ import annotations

import io
import json
import random
import zipfile

WORDS = (
    "thickness base metal weld gas flow root groove fillet filler class preheat temp current speed"
    " min max mm in"
).split()
XML = '<?xml version="1.0"?>'
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"


def xlsx(sheet: str, more: dict[str, str] | None = None, *, stored: bool = False) -> bytes:
    """Write a small workbook by hand, with any XML in its sheet and any further parts."""
    parts = {
        "[Content_Types].xml": f'{XML}<Types xmlns="http://schemas.openxmlformats.org/package/2006/'
        'content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-'
        'package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{KIND}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{KIND}.worksheet+xml"/>'
        f'<Override PartName="/xl/styles.xml" ContentType="{KIND}.styles+xml"/></Types>',
        "_rels/.rels": f'{XML}<Relationships xmlns="{RELATIONS}"><Relationship Id="rId1" '
        f'Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'{XML}<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets>'
        '<sheet name="A" sheetId="1" r:id="rId1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'{XML}<Relationships xmlns="{RELATIONS}">'
        f'<Relationship Id="rId1" Type="{OFFICE}/worksheet" Target="worksheets/sheet1.xml"/>'
        f'<Relationship Id="rId2" Type="{OFFICE}/styles" Target="styles.xml"/></Relationships>',
        "xl/worksheets/sheet1.xml": f'{XML}<worksheet xmlns="{MAIN}">{sheet}</worksheet>',
        **(more or {}),
    }
    packed = io.BytesIO()
    with zipfile.ZipFile(
        packed, "w", zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
    ) as out:
        for name, text in parts.items():
            out.writestr(name, text)
    return packed.getvalue()


def row(number: int, cells: dict[str, str]) -> str:
    """Write a row of texts."""
    inside = "".join(
        f'<c r="{column}{number}" t="inlineStr"><is><t>{text}</t></is></c>'
        for column, text in cells.items()
    )
    return f'<row r="{number}">{inside}</row>'


PLAIN = f"<sheetData>{row(1, {'A': 'WPS No.', 'B': '7'})}</sheetData>"


def heavy() -> dict[str, bytes]:
    """Files within every limit that are as slow to read as files can be."""
    drawn = random.Random(1)  # noqa: S311

    def keys(count: int, words: int) -> list[str]:
        return [" ".join(drawn.choices(WORDS, k=words)) + "_" * (i % 7) for i in range(count)]

    made: dict[str, object] = {
        "keys.json": dict.fromkeys(keys(3900, 9), 1),
        "texts.json": {"passes": [{"amps": "1 " * 59} for _ in range(1300)]},
        "dashes.json": {"passes": [{"amps": "- " * 55 + "1"} for _ in range(1300)]},
        "sizes.json": {"filler sizes": [f"{i}/8, " * 8 for i in range(3900)]},
        "essays.json": {"base metal": ["A36 " * 2400 for _ in range(200)]},
        "gases.json": {"shielding gas": ["GTAW Ar;" * 1200 for _ in range(200)]},
        "preheats.json": {"preheat": {f"{i} x": i for i in range(3900)}},
        "steps.json": {"preheat by thickness": [{"over": i, "min": 50} for i in range(1300)]},
        "fillers.json": {
            "filler": [f"E70{i % 100:02}" for i in range(1900)],
            "sfa": ["A5.1"] * 1900,
        },
        "many.json": [{"wps": str(i), "amps": "90-150"} for i in range(1300)],
        "own.json": {
            "format": "weldref-procedure/1",
            "passes": [{"current": {"min": i, "max": i}} for i in range(950)],
        },
    }
    files = {name: json.dumps(value).encode() for name, value in made.items()}
    repeated = ",".join(f'"thickness_min_mm":{i}' for i in range(3900))
    files["repeated.json"] = f"{{{repeated}}}".encode()
    files["labels.csv"] = b"\n".join([b"Pass,Amps,Volts", b"1,90,20"] * 650)
    files["keys.yaml"] = "".join(f"{key}{i}: {i}\n" for i, key in enumerate(keys(1900, 8))).encode()
    cells = [dict(zip("ABCDEFGHI", keys(9, 4), strict=True)) for _ in range(440)]
    table = "".join(row(i, one) for i, one in enumerate(cells, 1))
    files["cells.xlsx"] = xlsx(f"<sheetData>{table}</sheetData>", stored=True)
    formats = '<xf numFmtId="14" fontId="0"/>' * 55_000
    styles = f'<styleSheet xmlns="{MAIN}"><cellXfs>{formats}</cellXfs></styleSheet>'
    files["styles.xlsx"] = xlsx(PLAIN, {"xl/styles.xml": styles}, stored=True)
    files["merged.xlsx"] = xlsx(
        f'<dimension ref="A1:XFD1048576"/>{PLAIN}'
        '<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'
    )
    return files
