"""Write the dataset as a folder of Parquet files, each with its schema, version and digest."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from weldref.exchange import release
from weldref.exchange.dataset import Dataset, Table
from weldref.exchange.table_schema import table_schema

if TYPE_CHECKING:
    import duckdb

_TYPES = {"number": "DOUBLE", "boolean": "BOOLEAN"}


def write_parquet(dataset: Dataset, folder: Path) -> None:
    """Write a file of each table; its metadata say what the dataset and the columns are."""
    import duckdb

    folder.mkdir()
    # One thread: the order of row groups never changes.
    with duckdb.connect(config={"threads": "1", "autoinstall_known_extensions": "false"}) as one:
        for name, table in dataset.tables.items():
            schema = table_schema(name)
            _load(one, table, [_TYPES.get(field["type"], "VARCHAR") for field in schema["fields"]])
            said = {
                "dataset": json.dumps(release.statement(), ensure_ascii=False),
                "version": dataset.version or "",
                "digest": f"sha256:{dataset.digest}",
                "table": name,
                "schema": json.dumps(schema, ensure_ascii=False),
            }
            metadata = ", ".join(f'"{key}": {_quoted(value)}' for key, value in said.items())
            one.execute(
                f"COPY published TO {_quoted(str(folder / f'{name}.parquet'))} "
                f"(FORMAT parquet, COMPRESSION zstd, KV_METADATA {{{metadata}}})"
            )
            one.execute("DROP TABLE published")


def _load(connection: duckdb.DuckDBPyConnection, table: Table, types: list[str]) -> None:
    import pandas as pd

    frame = pd.DataFrame(list(table.rows), columns=list(table.columns), dtype=object)
    casts = ", ".join(
        f'CAST("{column}" AS {kind}) AS "{column}"'
        for column, kind in zip(table.columns, types, strict=True)
    )
    connection.register("frame", frame)
    connection.execute(f"CREATE TABLE published AS SELECT {casts} FROM frame")
    connection.unregister("frame")


def _quoted(value: str) -> str:
    return "'" + value.replace("'", "''") + "'"
