"""No text, docstring or comment has the words that DEVELOPERS.md lists as quaint or misleading."""

from __future__ import annotations

import ast
import re
import tokenize
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
FINE = re.compile(
    r"\bthere (?:is|are) no\b|\b(?:is|are) no longer\b|\bstands for\b|\btakes in its\b|<[^>]*>",
    re.IGNORECASE,
)
# Not shown to anybody: SQL, patterns, names of columns and of styles.
CODE = re.compile(r"\b(?:SELECT|INSERT|CREATE|FROM|WHERE)\b|\(\?P|\\b|[{;]\s*[\w-]+:")


def avoided() -> list[str]:
    """Read the words out of the first column of the table."""
    (table,) = re.findall(r"<!-- words to avoid -->\n(.*?)<!-- /words", PAGE, re.DOTALL)
    return [word for line in table.splitlines() for word in re.findall(r"`([^`]+)`", line)]


WORDS = re.compile(rf"\b(?:{'|'.join(map(re.escape, avoided()))})\b", re.IGNORECASE)


def found(text: str) -> list[str]:
    return WORDS.findall(FINE.sub("", text))


def shown(path: Path) -> Iterator[tuple[int, str]]:
    """Yield every comment, every docstring without its examples, and every literal with a space
    in it, where {} is a value: a message, a help text, a table of words.
    """
    with path.open("rb") as file:
        for token in tokenize.tokenize(file.readline):
            if token.type == tokenize.COMMENT:
                yield token.start[0], token.string
    seen: set[int] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if id(node) in seen:
            continue
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            seen.add(id(node.value))
            lines = str(node.value.value).splitlines()
            yield node.lineno, " ".join(line for line in lines if ">>>" not in line)
        elif isinstance(node, ast.JoinedStr):
            seen.update(map(id, ast.walk(node)))
            yield (
                node.lineno,
                "".join(
                    str(part.value) if isinstance(part, ast.Constant) else "{}"
                    for part in node.values
                ),
            )
        elif isinstance(node, ast.Constant) and " " in (text := str(node.value)):
            yield from [] if CODE.search(text) else [(node.lineno, text)]


@pytest.mark.parametrize("room", sorted({p.name for p in (ROOT / "weldref").glob("[a-z]*")}))
def test_no_word_to_avoid_is_written(room: str) -> None:
    top = ROOT / "weldref" / room
    paths = top.rglob("*.py") if top.is_dir() else [top] if top.suffix == ".py" else []
    wrong = [
        f"{path.relative_to(ROOT)}:{line}: {', '.join(words)}: {text[:70]}"
        for path in sorted(paths)
        for line, text in shown(path)
        if (words := found(text))
    ]
    assert wrong == []


@pytest.mark.parametrize("name", ["rules.csv", "findings.csv"])
def test_no_word_to_avoid_is_in_the_texts_of_an_audit(name: str) -> None:
    lines = (ROOT / "weldref" / "audit" / name).read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if found(line)] == []


def test_a_word_to_avoid_is_found(tmp_path: Path) -> None:
    module = tmp_path / "module.py"
    module.write_text(
        '"""Mend a file."""\n\n# Said aloud.\ndef f(x):\n    """Stands aside."""\n'
        "    print(f\"'{x}' is no field\")\n    return \"there is no range\", 'anew'\n"
    )
    assert [word for _, text in shown(module) for word in found(text)] == [
        "aloud",
        "Mend",
        "Stands",
        "is no",
    ]


def test_the_list_has_its_words() -> None:
    assert {"mend", "parted", "anew", "is no"} <= set(avoided())


def test_no_module_begins_with_a_riddle() -> None:
    """The first line says what the module does; it asks nothing."""
    asking = []
    for path in sorted((ROOT / "weldref").rglob("*.py")):
        said = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
        if said.splitlines()[:1] and said.splitlines()[0].endswith("?"):
            asking.append(str(path.relative_to(ROOT)))
    assert asking == []
