"""Define the blocks of a page as plain text and numbers, before any format draws them.

PDF, HTML and the tests read the same blocks. A text is never markup: it is printed as it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any, Literal

from weldref.handouts.words import words

if TYPE_CHECKING:
    from weldref.handouts.school import School

Look = Literal["plain", "lead", "small", "box"]
Template = Literal["page", "chart", "card"]
Align = Literal["left", "right", "center"]


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a page."""

    @property
    def kind(self) -> str:
        """What the templates call it."""
        return type(self).__name__.casefold()


@dataclass(frozen=True, slots=True)
class Heading(Block):
    """A heading; level 1 is a situation or a sheet."""

    text: str
    level: int = 1
    look: Literal["", "back"] = ""
    """"back": here the back of a half card begins."""


@dataclass(frozen=True, slots=True)
class Masthead(Block):
    """The head of a situation: its title (level 1), what it means, and how to open it.

    `code` is a QR code of `address` as SVG, `told` its alternative text.
    """

    title: str
    lead: str = ""
    notes: tuple[str, ...] = ()
    address: str = ""
    caption: str = ""
    code: str = ""
    told: str = ""


@dataclass(frozen=True, slots=True)
class Paragraph(Block):
    """A paragraph; "box" is for a sentence that nobody may overlook."""

    text: str
    look: Look = "plain"


@dataclass(frozen=True, slots=True)
class Bar:
    """A printed range on the scale of its table, all as shares of the scale from 0 to 1.

    An open end is not printed. `point` is a typical or single setting. The numbers are in the
    same row, so that a screen reader may skip the drawing.
    """

    low: float | None
    high: float | None
    open_low: bool
    open_high: bool
    point: float | None
    grade: str


Cell = str | Bar | None


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its title and its share of the width; without a share it fits its texts."""

    title: str
    share: float | None = None
    align: Align = "left"


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows below a heading that is repeated on the next page.

    `scale` holds the texts at the ends of the scale of the bars.
    """

    title: str
    rows: tuple[tuple[Cell, ...], ...]
    mark: str = ""
    scale: tuple[str, str] | None = None
    says: tuple[tuple[int, str], ...] = ()
    """Lines across the table, each with the number of the row that it comes before."""


@dataclass(frozen=True, slots=True)
class Table(Block):
    """A table; its heading is repeated on each page and no row is split."""

    columns: tuple[Column, ...]
    groups: tuple[Rows, ...]
    bar_column: int | None = None

    @classmethod
    def of(cls, columns: Sequence[tuple[str, float]], *groups: Rows) -> Table:
        """Make a table of texts from its titles with their shares of the width."""
        return cls(tuple(Column(*column) for column in columns), groups)


@dataclass(frozen=True, slots=True)
class Entry:
    """One statement in a cell of a chart: its numbers, source mark and conditions.

    `grade` is how it was read, or "own" for an unpublished row.
    """

    text: str
    mark: str
    holds: tuple[str, ...]
    grade: str


@dataclass(frozen=True, slots=True)
class ChartCell:
    """A cell of a chart; without entries `said` tells why, empty where nothing is known."""

    entries: tuple[Entry, ...]
    said: str = ""


@dataclass(frozen=True, slots=True)
class ChartRow:
    """A row of a chart: the labels that name it, and its cells."""

    labels: tuple[str, ...]
    cells: tuple[ChartCell, ...]


@dataclass(frozen=True, slots=True)
class Matrix(Block):
    """A chart: a title and a unit for each column; equal first labels of rows are printed once.

    `caption` says what all cells have in common.
    """

    heads: tuple[str, ...]
    titles: tuple[tuple[str, str], ...]
    rows: tuple[ChartRow, ...]
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Facts(Block):
    """Pairs of a label and paragraphs of text."""

    pairs: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Items(Block):
    """A list; `first` is the number of its first item, None for a list without numbers."""

    texts: tuple[str, ...]
    first: int | None = None
    look: Literal["plain", "small"] = "plain"


@dataclass(frozen=True, slots=True)
class Blanks(Block):
    """Labelled lines to write on."""

    labels: tuple[str, ...]
    columns: int = 3


@dataclass(frozen=True, slots=True)
class Figure(Block):
    """A drawing as SVG, its width on paper (mm), its alternative text and its caption."""

    svg: str
    width: float
    told: str
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Log(Block):
    """An empty table to fill in at the bench."""

    columns: tuple[str, ...]
    lines: int


@dataclass(frozen=True, slots=True)
class Exercise(Block):
    """A numbered question: its title, what is given, and lines to answer on."""

    number: int
    title: str
    given: tuple[str, ...]
    answers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Contents(Block):
    """The list of the headings of level 1 with their pages."""

    title: str


@dataclass(frozen=True, slots=True)
class Break(Block):
    """A new page."""


@dataclass(frozen=True, slots=True)
class Document:
    """A document to print, with `foot` at the bottom of each page."""

    title: str
    language: str
    foot: str
    blocks: tuple[Block, ...]
    running: str = ""
    """The line at the top of each page; the title if empty."""
    template: Template = "page"
    """How the blocks are laid out: running on over pages, or fitted onto one ("chart", "card")."""

    paper: str = "us-letter"
    landscape: bool = False
    columns: int = 1
    """Cards beside each other on a page."""
    date: str = ""
    school: School | None = None
    records: tuple[tuple[Any, ...], ...] = field(default=())
    """The content as a flat table for a spreadsheet, header first."""

    def as_dict(self) -> dict[str, Any]:
        """The document as plain dictionaries and lists, without the flat table."""
        plain = asdict(self)
        del plain["records"]
        plain["running"] = self.running or self.title
        # With places for the page and for their count.
        say = words(self.language).say
        plain["page"] = say("page {page} of {pages}", page="{page}", pages="{pages}")
        plain["blocks"] = [{"kind": one.kind, **asdict(one)} for one in self.blocks]
        if self.school and self.school.kind == "svg":
            plain["school"]["logo"] = bytes(self.school.logo).decode("utf-8")
        return plain


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawn document; of a PDF its number of pages, and its type size (pt) if fitted."""

    content: bytes
    pages: int | None = None
    size: float | None = None
