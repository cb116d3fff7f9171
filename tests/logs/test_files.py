"""CSV and Parquet in any shape: the same numbers, or one sentence with the line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import duckdb
import pytest

from weldref.errors import InputError
from weldref.logs.audit import audit_log

HEAD = "process,electrode,diameter,amps\n"
ROWS = "SMAW,E7018,1/8,130\nSMAW,E7018,1/8,250\n"


def counts(path: Path, **options: Any) -> tuple[int, int, int]:
    (count,) = audit_log(path, **options).counts
    return count.readings, count.inside, count.high


@pytest.mark.parametrize(
    "content",
    [
        HEAD + ROWS,
        "\ufeff" + HEAD + ROWS,
        (HEAD + ROWS).replace("\n", "\r\n"),
        (HEAD + ROWS).replace(",", ";"),
        (HEAD + ROWS).replace(",", "\t"),
        'process,electrode,"diameter, in",amps\n'.replace('"diameter, in"', '"diameter (in)"')
        + ROWS,
        HEAD + '"SMAW","E7018","1/8","130"\nstick,7018,.125,250 A\n',
        HEAD + ROWS + ",,,\n",
    ],
)
def test_shapes_of_csv(content: str, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(content.encode())
    assert counts(path) == (2, 1, 1)


@pytest.mark.parametrize(
    "select",
    [
        "130.0::DOUBLE AS amps UNION ALL SELECT 'SMAW', 'E7018', '1/8', 250",
        "130::SMALLINT AS amps UNION ALL SELECT 'SMAW', 'E7018', '1/8', 250",
        "130.5::DECIMAL(5, 1) AS amps UNION ALL SELECT 'SMAW', 'E7018', '1/8', 250",
        "'130' AS amps UNION ALL SELECT 'SMAW', 'E7018', '1/8', '250 A'",
        "130::FLOAT AS amps UNION ALL SELECT 'SMAW', 'E7018', '1/8', 250",
    ],
)
def test_types_of_parquet(select: str, tmp_path: Path) -> None:
    path = tmp_path / "log.parquet"
    with duckdb.connect() as connection:
        connection.execute(
            f"COPY (SELECT 'SMAW' AS process, 'E7018' AS electrode, '1/8' AS diameter, {select}) "
            f"TO '{path}'"
        )
    assert counts(path) == (2, 1, 1)


def test_a_float_means_its_shortest_decimal(tmp_path: Path) -> None:
    """The nearest FLOAT to 3.2 is 3.2000000477; a band that ends at 3.2 mm still takes it in."""
    found = []
    for kind in ("FLOAT", "DOUBLE"):
        path = tmp_path / f"{kind}.parquet"
        with duckdb.connect() as connection:
            connection.execute(
                f"COPY (SELECT 'OFC' AS process, t::{kind} AS \"thickness (mm)\", 400.1::{kind} AS "
                '"travel speed (mm/min)" FROM (VALUES (3.2), (6.4), (12.7), (25.4)) v(t)) '
                f"TO '{path}'"
            )
        found.append(audit_log(path).counts)
    assert found[0] == found[1]


def test_cells_with_units_of_their_own(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(
        "process,thickness,travel\nOFC,13 mm,360 mm/min\nOFC,1/2,14.17\nOFC,1/2 in,soup\n"
        "OFC,11 ga,14\nOFC,furlong,14\nOFC,,0.6 m/min\n"
    )
    target = tmp_path / "out.parquet"
    audit = audit_log(path, output=target)
    (count,) = audit.counts
    assert count.readings == 6
    # A gauge number depends on the metal: of a log it is not read.
    assert count.reasons == {"not a number": 1, "unreadable thickness": 2}
    with duckdb.connect() as connection:
        rows = connection.execute(
            "SELECT record, value, unit FROM read_parquet($1) ORDER BY record", [str(target)]
        ).fetchall()
    assert rows[0] == (1, 360.0, "mm/min")
    assert rows[1] == (2, 14.17, "in/min")
    assert rows[5] == (6, 0.6, "m/min")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (HEAD + "SMAW,E7018,1/8,130,9\n", "line 2 has 5 cells where the heading has 4"),
        (HEAD + ROWS + "SMAW\n", "line 4 has 1 cells where the heading has 4"),
        (HEAD + '"SMAW,E7018,1/8,130\n', "line 2 opens a quotation mark that is never closed"),
        (HEAD.encode() + ROWS.encode() + b"SM\xff\xfeAW,E7018,1/8,9\n", "line 4 is not UTF-8 text"),
        (HEAD, "has no record below its heading"),
        ("", "is empty or has no headings in line 1"),
        ("process,,amps\nSMAW,x,130\n", "has a column without a heading in line 1"),
        ("amps,amps\n1,2\n", "two columns are headed 'amps' in line 1"),
        (b"\x00\xff\xfe", "is not UTF-8 text in line 1"),
    ],
)
def test_broken_csv_is_one_sentence_with_the_line(
    content: str | bytes, said: str, tmp_path: Path
) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    with pytest.raises(InputError) as caught:
        audit_log(path)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_broken_parquet_is_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "log.parquet"
    path.write_bytes(b"PAR1 and nothing more")
    with pytest.raises(InputError, match="cannot be read"):
        audit_log(path)
    path.write_bytes(b"no such thing")
    with pytest.raises(InputError, match="is not a Parquet file though its name says so"):
        audit_log(path)
    with pytest.raises(InputError, match="is not a file"):
        audit_log(tmp_path)


def test_a_column_of_nonsense_is_named(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(HEAD + "".join(f"p{n},E7018,1/8,130\n" for n in range(10_001)))
    with pytest.raises(InputError, match="process: column 'process' holds 10001 different words"):
        audit_log(path)
