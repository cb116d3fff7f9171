"""Our own layout: a published JSON Schema that the model and the reader keep."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from tests.procedures.conftest import SAMPLES, read
from weldref.cli import main
from weldref.errors import InputError
from weldref.procedures import own_layout
from weldref.procedures.model import Range
from weldref.procedures.own_layout import schema
from weldref.procedures.read import read_procedure

FORMAT = {"format": "weldref-procedure/1"}


def test_the_published_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.json")), ids=lambda path: path.stem)
def test_what_is_written_follows_the_schema(path: Path) -> None:
    own_layout.check(own_layout.as_plain(read_procedure(path)))


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"passes": [{"amps": 3}]}, "/passes/0: 'amps' is not a field of the layout"),
        ({"passes": {"current": 3}}, r'/passes: {"current": 3} is not accepted; give .* array'),
        ({"passes": [{"current": {"low": 3}}]}, "/passes/0/current: 'low' is not a field"),
        ({"passes": [{"current": {"min": "3"}}]}, r"/passes/0/current.*type number or null"),
        ({"fillers": [{"also": 1}]}, "/fillers/0: 'also' is not a field"),
        ({"other": [{"name": "x"}]}, "/other/0: 'text' is missing"),
        (
            {"slips": [{"kind": "x", "value": "", "suspected": ""}]},
            r"/slips/0/kind: .* give degree",
        ),
    ],
)
def test_messages_name_field_and_place(given: dict[str, object], message: str) -> None:
    with pytest.raises(InputError, match=message):
        read({**FORMAT, **given})


def test_another_version_is_refused() -> None:
    with pytest.raises(InputError, match=r"/format: .* give weldref-procedure/1"):
        read({"format": "weldref-procedure/9"})


def test_values_may_be_written_short() -> None:
    found = read(
        {**FORMAT, "thickness": [3, 6], "passes": [{"current": "90-150 A", "voltage": [20, 23]}]}
    )
    assert found.thickness == (Range(3, 6),)
    assert found.passes[0].current == Range(90, 150, "A")
    assert found.passes[0].voltage == Range(20, 23, "V")


def test_slips_and_leftovers_survive() -> None:
    first = read({"wps": "1", "shoe size": 43, "passes": [{"amps": [150, 90], "size": "Mar-32"}]})
    assert len(first.slips) == 3
    again = read(own_layout.to_json(first))
    assert again == first


def test_the_schema_from_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["procedure-schema"]) == 0
    assert json.loads(capsys.readouterr().out) == schema()
