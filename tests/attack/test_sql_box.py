"""The query box against somebody who means harm: one sentence each, and nothing is touched."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.effort import some
from weldref.data.query import ANSWER_MB, LONGEST_SQL, MEMORY_MB, run_query
from weldref.data.store import Store
from weldref.errors import InputError

WALLS = """
import json, os, sys
from pathlib import Path
from weldref.data import query_worker as worker

for line in sys.stdin:
    sql = json.loads(line)
    child = os.fork()  # each in a process of its own, as the query box does it
    if not child:
        try:
            found = worker.answer(sql, 5, seconds=1)  # the rule is the same with a shorter time
        except MemoryError:
            found = {"error": "memory"}
        lines = Path("/proc/self/status").read_text().splitlines()
        found["peak"] = next(int(one.split()[1]) // 1024 for one in lines if "VmHWM" in one)
        sys.stdout.write(json.dumps(found, default=str) + chr(10))
        sys.stdout.flush()
        os._exit(0)
    if os.waitpid(child, 0)[1]:
        print(json.dumps({"error": "ended by the system", "peak": 0}), flush=True)
"""


Walls = Callable[[list[str]], Iterator[dict[str, object]]]


@pytest.fixture(scope="module")
def behind_walls(store: Store) -> Iterator[Walls]:
    """Answer each statement in a process with the walls of the query box."""
    assert store.path is not None
    with subprocess.Popen(
        [sys.executable, "-c", WALLS], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdin
        assert process.stdout
        said, answers = process.stdin, process.stdout

        def ask(statements: list[str]) -> Iterator[dict[str, object]]:
            for sql in statements:
                said.write(json.dumps(sql) + "\n")
                said.flush()
                yield json.loads(answers.readline())

        yield ask


FILES = [
    f"FROM {function}"
    for function in (
        "read_csv('/etc/passwd')", "read_csv_auto('/etc/passwd')", "read_text('/etc/passwd')",
        "read_blob('/etc/passwd')", "read_json('/etc/passwd')", "read_json_objects('/etc/passwd')",
        "read_parquet('/etc/passwd')", "parquet_metadata('/etc/passwd')",
        "parquet_kv_metadata('/etc/passwd')", "sniff_csv('/etc/passwd')", "glob('/etc/*')",
        "read_duckdb('/etc/passwd')", "'/etc/passwd'", "'https://192.0.2.1/x.csv'",
        "read_csv('https://192.0.2.1/x.csv')", "read_csv('s3://a/b')", "duckdb_secrets()",
        "query('COPY windows TO ''/tmp/x''')",
    )
]  # fmt: skip
SETTINGS = [
    "SET memory_limit = '9GB'", "SET enable_external_access = true", "RESET memory_limit",
    "PRAGMA memory_limit = '9GB'", "PRAGMA enable_profiling", "PRAGMA database_list",
    "SET VARIABLE a = 1", "USE memory", "LOAD json", "INSTALL httpfs", "FORCE INSTALL httpfs",
    "CREATE SECRET (TYPE http)", "CALL pragma_version()", "EXPLAIN ANALYZE SELECT 1",
    "CREATE MACRO m() AS 1", "CREATE TEMP TABLE t AS SELECT 1", "CREATE VIEW v AS SELECT 1",
    "PREPARE p AS SELECT 1", "EXECUTE p", "CHECKPOINT", "BEGIN", "VACUUM", "ANALYZE",
    "EXPORT DATABASE '/tmp/x'", "IMPORT DATABASE '/tmp/x'", "COPY windows TO '/tmp/x.csv'",
    "COPY (SELECT 1) TO '/dev/stdout'", "COPY windows FROM '/etc/passwd'",
    "ATTACH '/tmp/x.duckdb' AS x", "ATTACH ':memory:' AS y", "DETACH memory",
    "INSERT INTO sources SELECT * FROM sources", "UPDATE sources SET title = ''",
    "DELETE FROM sources", "DROP TABLE windows", "ALTER TABLE windows ADD x INTEGER",
    "TRUNCATE windows",
    "WITH x AS (DELETE FROM sources RETURNING *) SELECT * FROM x",
]  # fmt: skip
SEVERAL = [
    "SELECT 1; SELECT 2", "SELECT 1; DROP TABLE windows", "DROP TABLE windows; SELECT 1",
    "SELECT 1 /* ; */ ; -- x\n DROP TABLE windows", "", " ", ";", ";;", "-- SELECT 1",
    "/* SELECT 1", "/* /* */ SELECT 1", "SELECT 1 UNION", "SELECT '", 'SELECT "', "SELECT $$",
    "SELECT $1", "SELECT ?", "SELECT \x00", "\x00", "\ufeff\x00", "SELECT * FROM windows WHERE",
    "SELECT error('one\ntwo \x1b[31m')", "SELECT " + "(" * 5000 + "1" + ")" * 5000,
    "SELECT " + "-" * 5001 + "1", "SELECT " + "+".join(["1"] * 20_000), "SELECT " + "x" * 50_000,
    "SELECT getenv('HOME')", "SELECT nothing",
]  # fmt: skip
ENDLESS = [
    "SELECT count(*) FROM generate_series(1000000000000)",
    "SELECT count(*) FROM windows a, windows b, windows c, windows d WHERE a.min < d.max",
    "WITH RECURSIVE n AS (SELECT 1 AS i UNION ALL SELECT i + 1 FROM n) SELECT max(i) FROM n",
]
GREEDY = [
    "SELECT list(range) FROM range(1000000000)",
    "SELECT string_agg(range::VARCHAR, '') FROM range(1000000000)",
    "SELECT length(repeat('x', 3000000000))",
    "SELECT md5(repeat('a', 2000000000))",
    "SELECT list_sum(list_transform(range(300000000), lambda x: x * 2))",
    "SELECT * FROM windows a, windows b, windows c ORDER BY random()",
    "WITH RECURSIVE n AS (SELECT 'x' AS t UNION ALL SELECT t || t FROM n) SELECT max(t) FROM n",
]  # fmt: skip


def test_nothing_but_a_select_of_the_tables(behind_walls: Walls) -> None:
    asked = [*FILES, *some([*SETTINGS, *SEVERAL], 3)]
    for sql, answer in zip(asked, behind_walls(asked), strict=True):
        assert list(answer) == ["error", "peak"], (sql, answer)
        assert "\n" not in str(answer["error"])


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="reads Linux's /proc")
def test_time_and_memory_have_walls(behind_walls: Walls) -> None:
    asked = some([*ENDLESS, *GREEDY], 2)
    for sql, answer in zip(asked, behind_walls(asked), strict=True):
        assert list(answer) == ["error", "peak"], (sql, answer)
        # The program itself and its libraries come on top.
        assert int(str(answer["peak"])) < MEMORY_MB + 256, (sql, answer)


@pytest.mark.parametrize("sql", ["SELECT 1 --", "/* a */ SELECT 1;", "; SELECT 1 ;", "FROM units"])
def test_a_comment_does_no_harm(sql: str) -> None:
    assert run_query(sql, 1).rows


@pytest.mark.parametrize(
    ("sql", "words"),
    [
        ("SELECT '" + "x" * LONGEST_SQL + "'", "longer than 100,000 characters"),
        ("SELECT repeat('x', 50000000)", f"larger than {ANSWER_MB} MB"),
        ("SELECT repeat('x', 100000) FROM range(1000)", f"larger than {ANSWER_MB} MB"),
        ("SELECT \udcff", "query: "),
        ("SELECT * FROM read_blob('/etc/passwd')", "Permission Error"),
    ],
)
def test_the_box_itself_answers_in_one_sentence(sql: str, words: str) -> None:
    with pytest.raises(InputError, match=r"^query: ") as caught:
        run_query(sql)
    assert words in str(caught.value)
    assert str(caught.value).isprintable()


def test_what_the_open_file_tells_of_itself_is_public(store: Store) -> None:
    """The store's own file can be read and its place be seen: so it holds nothing private."""
    for sql in ("SELECT path FROM duckdb_databases()", "SELECT name FROM duckdb_settings()"):
        assert run_query(sql).rows
    assert store.rows("SELECT count(*) AS n FROM duckdb_tables() WHERE NOT internal")[0]["n"] > 20


def test_the_tables_are_as_before(store: Store) -> None:
    assert store.path is not None
    before = store.path.stat()
    for sql in ("DROP TABLE windows", "CHECKPOINT", "SELECT write_log('x')"):
        with suppress(InputError):
            run_query(sql)
    after = store.path.stat()
    assert (before.st_mtime_ns, before.st_size) == (after.st_mtime_ns, after.st_size)


pieces = st.sampled_from(
    "SELECT * FROM windows WHERE ( ) , ; -- /* */ ' \" $$ 1 1e999 NULL UNION ALL WITH RECURSIVE x "
    "AS JOIN LATERAL unnest( range(9) COPY TO ATTACH :: . [ ] { } lambda \\ \x00 \u202e".split(" ")
)


@settings(max_examples=8)
@given(st.lists(st.lists(pieces | st.text(max_size=5), max_size=12).map(" ".join), max_size=12))
def test_any_pieces_of_sql(behind_walls: Walls, statements: list[str]) -> None:
    for answer in behind_walls([text.encode("utf-8", "replace").decode() for text in statements]):
        assert list(answer) in (["error", "peak"], ["columns", "rows", "cut", "peak"])
