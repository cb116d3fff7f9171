"""Read the header of a school: its name, course, instructor, logo and colour.

It is the section ``[school]`` of ``weldref.toml``, and is printed above every handout. What is
given for one handout overrides it.
"""

from __future__ import annotations

import base64
import json
import re
import struct
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree as ET

from weldref.data.config import config_files, section
from weldref.errors import InputError
from weldref.files import write_whole
from weldref.handouts.selection import line

SVG = "http://www.w3.org/2000/svg"
LARGEST_LOGO = 256 * 1024
MOST_PIXELS = 4000
LONGEST = {"name": 60, "course": 60, "instructor": 80}
BLACK, WHITE = "#000000", "#ffffff"

MOST_SHAPES = 5000

_SHAPES = frozenset(
    "svg g defs title desc metadata path rect circle ellipse line polyline polygon text tspan "
    "lineargradient radialgradient stop clippath".split()
)
"""Elements of a logo. A pattern, mask or filter inside another could take forever to draw."""


@dataclass(frozen=True, slots=True)
class School:
    """What is printed at the top of a sheet; empty where nothing was given.

    `logo` is the picture's bytes and `kind` "png" or "svg"; `ink` is black or white, whichever is
    easier to read on `colour`.
    """

    name: str
    course: str = ""
    instructor: str = ""
    logo: tuple[int, ...] = ()
    kind: str = ""
    colour: str = WHITE
    ink: str = BLACK

    @property
    def logo_address(self) -> str:
        """The logo as an address that holds the picture itself."""
        mime = {"png": "image/png", "svg": "image/svg+xml"}[self.kind]
        return f"data:{mime};base64,{base64.b64encode(bytes(self.logo)).decode('ascii')}"


def school(given: Mapping[str, str | None] | None = None) -> School | None:
    """Read the school of the config file, overridden by what is `given`; None without either.

    Refuse a text that is too long, a logo that is not safe to print, and a school without a name.
    """
    path, found = section("school") or (Path(), {})
    # The path of a logo is relative to the file that names it.
    logo = path.parent / Path(found["logo"]).expanduser() if found.get("logo") else None
    own = {key: value for key, value in (given or {}).items() if value}
    if "logo" in own:
        logo = Path(own["logo"]).expanduser()
    wanted = {**found, **own}
    if not wanted:
        return None
    if not wanted.get("name"):
        raise InputError("--school: the header has no name; give the school's")
    where = "" if own else f"{path}: "
    return school_of(wanted, *(read_logo(logo) if logo else (b"", "")), where=where)


def school_of(given: Mapping[str, str], logo: bytes, kind: str, *, where: str = "") -> School:
    """Make a school of texts and a logo already read; a refusal begins with `where` they are."""
    texts = {
        key: line(f"{where}{key}", given.get(key) or "", most) for key, most in LONGEST.items()
    }
    colour = given.get("colour") or WHITE
    if not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
        raise InputError(f"{where}colour '{colour}' is not accepted; give one as #1f4e79")
    return School(**texts, logo=tuple(logo), kind=kind, colour=colour, ink=ink_on(colour))


def save_school(shown: School) -> Path:
    """Write a school into the config file and its logo beside it; return that file.

    That is the file that has a school or, if none has, the user's.
    """
    if named := section("school"):
        path = named[0]
    else:
        path = next((p for p in config_files() if p.is_file()), config_files()[1])
    values = {name: getattr(shown, name) for name in (*LONGEST, "colour")}
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        text = path.read_text(encoding="utf-8") if path.exists() else ""
    except OSError as error:
        raise InputError(f"{path}: it cannot be written: {error.strerror}") from error
    if shown.kind:
        values["logo"] = f"school-logo.{shown.kind}"
        write_whole(path.parent / values["logo"], bytes(shown.logo), "logo")
    # A text written as JSON is the same text in TOML.
    lines = [f"{key} = {json.dumps(value)}" for key, value in values.items() if value]
    others = re.sub(r"(?ms)^\[school\].*?(?=^\[|\Z)", "", text).strip()
    whole = "\n\n".join(filter(None, (others, "\n".join(["[school]", *lines])))) + "\n"
    write_whole(path, whole.encode(), "config")
    return path


def read_logo(path: Path) -> tuple[bytes, str]:
    """Read a logo and its kind; refuse a file that cannot be read."""
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_LOGO + 1)
    except OSError as error:
        raise InputError(f"logo: '{path}' cannot be read: {error.strerror}") from None
    return content, kind_of_logo(content, str(path))


def kind_of_logo(content: bytes, path: str) -> str:
    """Return the kind of a logo; refuse one that is large or more than shapes."""
    if len(content) > LARGEST_LOGO:
        raise InputError(f"logo: '{path}' is larger than {LARGEST_LOGO // 1024} KB")
    if content.startswith(b"\x89PNG\r\n\x1a\n") and len(content) > 24:
        wide, high = struct.unpack(">II", content[16:24])
        if not 0 < max(wide, high) <= MOST_PIXELS:
            raise InputError(
                f"logo: '{path}' is {wide} by {high} pixels; give at most {MOST_PIXELS} each way"
            )
        kind = "png"
    else:
        _check_svg(content, path)
        kind = "svg"
    with suppress(ImportError):  # if typst is installed
        import typst

        page = b"#image(bytes(json(bytes(sys.inputs.logo))), format: sys.inputs.kind)"
        inputs = {"logo": json.dumps([*content]), "kind": kind}
        try:
            typst.compile(page, sys_inputs=inputs, format="pdf")
        except typst.TypstError as error:
            why = str(error).splitlines()[0]
            raise InputError(f"logo: '{path}' cannot be drawn: {why}") from None
    return kind


def _check_svg(content: bytes, path: str) -> None:
    refused = InputError(
        f"logo: '{path}' is not accepted; give a PNG, or an SVG of shapes alone (no script, no "
        "picture, pattern, filter or style from elsewhere), in UTF-8"
    )
    try:
        text = content.decode("utf-8-sig")
        if re.search(r"<!doctype|<!entity|<\?xml-|encoding=(?!.utf-8)", text, re.IGNORECASE):
            raise refused
        root = ET.fromstring(text.encode())  # noqa: S314  no document type, so no entities
    except (ET.ParseError, ValueError):
        raise refused from None
    elements = list(root.iter())
    if root.tag.rpartition("}")[2] != "svg" or len(elements) > MOST_SHAPES:
        raise refused
    clips = {id(part) for one in elements if _tag(one) == "clippath" for part in one.iter()}
    for element in elements:
        # Elements in the namespace of a drawing program are never drawn.
        space = str(element.tag).rpartition("}")[0][1:]
        noted = space not in ("", SVG) and "xhtml" not in space and _tag(element) != "script"
        if _tag(element) not in _SHAPES and not noted:
            raise refused
        for key, value in element.attrib.items():
            name = key.rpartition("}")[2].casefold()
            outside = "url(" in value.replace("url(#", "") or "@import" in value or "\\" in value
            clipped = id(element) in clips and "url(" in value
            if name.startswith("on") or name == "href" or outside or clipped:
                raise refused


def _tag(element: ET.Element) -> str:
    return str(element.tag).rpartition("}")[2].casefold()


def ink_on(colour: str) -> str:
    """Choose black or white, whichever has more contrast on a colour (WCAG 2.1, 1.4.3)."""
    light = luminance(colour)
    return WHITE if 1.05 / (light + 0.05) > (light + 0.05) / 0.05 else BLACK


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour such as #1f4e79 (WCAG 2.1, its definition)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return round(0.2126 * red + 0.7152 * green + 0.0722 * blue, 10)
