"""Write a chart as one JSON file for another shop, and read such a file with care."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from weldref.data.store import Store
from weldref.errors import InputError
from weldref.exchange.shop_chart.grid import named_chart, read_grid
from weldref.exchange.shop_chart.model import (
    LONGEST_CELL,
    LONGEST_TEXT,
    MOST_COLUMNS,
    MOST_ROWS,
    Chart,
    Column,
    plain_text,
)
from weldref.procedures import limits

FORMAT = "weldref-chart/1"
LARGEST = 256 * 1024
"""Bytes; a full chart has some 10,000."""

_NAME = {"type": "string", "maxLength": 40, "pattern": "^[a-z_]+$"}
_CELL = {"type": "string", "maxLength": LONGEST_CELL}
_TEXT = {"type": "string", "maxLength": LONGEST_TEXT}
_CELLS = {"type": "object", "propertyNames": _NAME, "additionalProperties": _CELL}
SCHEMA: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "A shop's own chart of settings",
    "type": "object",
    "properties": {
        "format": {"const": FORMAT},
        "name": _CELL,
        "date": {"type": "string", "maxLength": 20},
        "shop": _TEXT,
        "place": _TEXT,
        "units": {"enum": ["us", "metric"]},
        "conditions": {**_CELLS, "maxProperties": 12},
        "columns": {
            "type": "array",
            "maxItems": MOST_COLUMNS,
            "items": {
                "type": "object",
                "properties": {"name": _NAME, "unit": {"type": "string", "maxLength": 20}},
                "required": ["name"],
                "additionalProperties": False,
            },
        },
        "rows": {
            "type": "array",
            "maxItems": MOST_ROWS,
            "items": {**_CELLS, "maxProperties": MOST_COLUMNS},
        },
    },
    "required": ["format", "name", "date", "units", "conditions", "columns", "rows"],
    "additionalProperties": False,
}
"""What the file may hold. `checked` tells whether its cells are sound."""


def as_json(chart: Chart) -> str:
    """Write a chart as one JSON file.

    >>> print(as_json(Chart("Booth 3", "2026-11-28"))[:32])
    {
      "format": "weldref-chart/1",
    """
    content = {
        "format": FORMAT,
        **{name: getattr(chart, name) for name in ("name", "date", "shop", "place", "units")},
        "conditions": dict(chart.conditions),
        "columns": [
            {"name": column.name, **({"unit": column.unit} if column.unit else {})}
            for column in chart.columns
        ],
        "rows": [dict(row) for row in chart.rows],
    }
    return json.dumps(content, indent=2, ensure_ascii=False) + "\n"


def from_json(data: bytes | str) -> Chart:
    """Read a chart from an untrusted JSON file of at most 256 kB.

    An `InputError` says if it is not JSON, not of this layout, or holds a text that would control
    a terminal or be a formula in a spreadsheet.

    >>> from_json('{"format": "weldref-chart/9"}')
    Traceback (most recent call last):
    ...
    weldref.errors.InputError: chart: format: 'weldref-chart/9' is not accepted; \
give weldref-chart/1
    """
    content = _content(data)
    version = content.get("format") if isinstance(content, dict) else None
    if version != FORMAT:
        said = f"format: '{str(version)[:40]}' is not accepted" if version else "it names no format"
        raise InputError(f"chart: {said}; give {FORMAT}")
    from jsonschema import Draft202012Validator

    for error in Draft202012Validator(SCHEMA).iter_errors(content):
        place = ".".join(str(step) for step in error.absolute_path) or "the file"
        raise InputError(f"chart: {place[:80]}: {_said(error)}")
    for part in (*content["rows"], content["conditions"], content, *content["columns"]):
        for name, text in part.items():
            if isinstance(text, str):
                plain_text(text, f"chart: {name}", LONGEST_TEXT)
    del content["format"]
    content["columns"] = tuple(Column(**one) for one in content["columns"])
    content["rows"] = tuple(content["rows"])
    return Chart(**content)


def read_file(store: Store, path: Path) -> Chart:
    """Read a chart from a CSV, XLSX or chart file; its name is that of the file if it has none.

    Raises
    ------
    InputError
        In one sentence, if the file cannot be read or is not accepted.
    """
    with named_chart():
        data = limits.read_file(path)
    return read_bytes(store, data, path.name)


def read_bytes(store: Store, data: bytes, file_name: str) -> Chart:
    """Read a chart from the content of a file; see `read_file`."""
    if data.lstrip().startswith((b"{", b"\xef\xbb\xbf{")):
        return from_json(data)
    return read_grid(store, data, file_name.partition(".")[0][:LONGEST_CELL])


def _content(data: bytes | str) -> Any:
    raw = data.encode("utf-8", "replace") if isinstance(data, str) else data
    if len(raw) > LARGEST:
        raise InputError(f"chart: the file is larger than the {LARGEST // 1024} kB accepted")
    try:
        with named_chart():
            text = limits.decode(raw)
            return json.loads(text, object_pairs_hook=_once, parse_constant=_refuse)
    except RecursionError:
        raise InputError("chart: the JSON is nested too deeply") from None
    except json.JSONDecodeError as error:
        raise InputError(
            f"chart: line {error.lineno}, column {error.colno}: not JSON: {error.msg}"
        ) from None
    except InputError:
        raise
    except ValueError as error:  # a number of more than 4,300 digits
        raise InputError(f"chart: not JSON: {str(error)[:80]}") from None


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise InputError(f"'{key[:40]}' appears twice in one place; give it once")
        found[key] = value
    return found


def _refuse(word: str) -> Any:
    raise InputError(f"{word} is not a number; give a text")


def _said(error: Any) -> str:
    """Say what is wrong without repeating untrusted content at length."""
    if error.validator == "required":
        missing = [name for name in error.validator_value if name not in error.instance]
        return f"{missing[0]} is missing"
    if error.validator == "additionalProperties":
        extra = sorted(set(error.instance) - set(error.schema.get("properties", {})))
        return (
            f"'{str(extra[0])[:40]}' is not accepted; give {', '.join(error.schema['properties'])}"
        )
    limit = {"maxLength": "characters", "maxItems": "entries", "maxProperties": "entries"}
    if error.validator in limit:
        return f"more than {error.validator_value} {limit[error.validator]}"
    kinds = {"string": "a text", "object": "an object", "array": "a list"}
    if error.validator == "type":
        given = type(error.instance).__name__
        return f"a {given} is not accepted; give {kinds[error.validator_value]}"
    return f"'{str(error.instance)[:40]}' is not accepted"
