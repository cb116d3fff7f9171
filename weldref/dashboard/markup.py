"""Write HTML: what is not `Markup` already is text, and is escaped."""

from __future__ import annotations

from collections.abc import Iterable

from markupsafe import Markup, escape

from weldref.handouts.words import sentence

__all__ = ["Markup"]


def tag(name: str, *parts: object, look: str = "", **attributes: object) -> Markup:
    """Write an element; parts that are `Markup` are HTML already, any other is text.

    `look` is the element's class. An attribute without a value is left out.

    >>> tag("p", "A & ", tag("b", 3), look="note", aria_label="")
    Markup('<p class="note">A &amp; <b>3</b></p>')
    """
    given = {"class": look.strip(), **attributes}
    written = "".join(
        f' {key.replace("_", "-")}="{escape(value)}"'
        for key, value in given.items()
        if value not in ("", None)
    )
    end = "" if name in ("br", "img") else f"</{name}>"
    return Markup(f"<{name}{written}>{joined(parts)}{end}")  # noqa: S704  all is escaped


def joined(parts: Iterable[object]) -> Markup:
    """Write parts one after another."""
    return Markup().join(map(escape, parts))


def p(look: str, *parts: object, **attributes: object) -> Markup:
    """Write a paragraph of a class."""
    return tag("p", *parts, look=look, **attributes)


def title(text: object, about: object = "", level: int = 2) -> Markup:
    """Write a heading, and smaller what it is about.

    >>> title("Sizes", 3)
    Markup('<h2>Sizes <span>3</span></h2>')
    """
    return tag(f"h{level}", text, *(" ", tag("span", about)) if about else ())


def header(question: str, about: str) -> Markup:
    """Write the head of a page: the question that it answers, and how."""
    return tag("header", tag("h1", question), tag("p", about))


def problem(text: str) -> Markup:
    """Write one sentence beside the entry that it is about."""
    return p("problem", sentence(text), role="alert")


def note(text: str) -> Markup:
    """Write one quiet sentence.

    >>> note("handouts need A & B")
    Markup('<p class="note">Handouts need A &amp; B.</p>')
    """
    return p("note", f"{sentence(text)}.")


def progress(text: str, done: int, most: int, label: str) -> Markup:
    """Say how far a reader has come, with a bar."""
    bar = tag("progress", max=most, value=done, aria_label=label)
    return p("far", text, bar, role="status")


def facts(pairs: Iterable[tuple[str, object]], look: str = "") -> Markup:
    """List names with their texts, without those whose text is empty.

    >>> facts([("Place", "p. 4 & 5"), ("Remark", "")])
    Markup('<dl><dt>Place</dt><dd>p. 4 &amp; 5</dd></dl>')
    """
    rows = [tag("dt", name) + tag("dd", text) for name, text in pairs if text]
    return tag("dl", *rows, look=look) if rows else Markup()


def bullets(items: Iterable[object], look: str = "", **attributes: object) -> Markup:
    """List items."""
    return tag("ul", *(tag("li", item) for item in items), look=look, **attributes)


def aside(summary: object, *body: object, look: str = "aside") -> Markup:
    """Write something that opens when asked for; on paper it is open."""
    return tag("details", tag("summary", summary), *body, look=look)
