"""The audit as a whole: counts, worst readings, drifts, the file of verdicts, the command line.

The logs are invented: a class that builds handrails and a ramp for a footbridge.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import duckdb
import pytest

from weldref.cli import main
from weldref.errors import InputError
from weldref.logs.audit import audit_log
from weldref.logs.output import check_target
from weldref.logs.text import audit_text

POSTS = "process,electrode,dia,material,Amps,Volts,travel (in/min),time,seam,welder,fixture\n"


@pytest.fixture
def posts(tmp_path: Path) -> Path:
    """Two seams of posts: E7018, 1/8 in; the second creeps up; a few slips."""
    lines = [
        f"SMAW,E7018,1/8,mild steel,{120 + n % 3},22,6,2026-03-02 08:{n:02}:00,S1,W1,F"
        for n in range(30)
    ]
    lines += [
        f"stick,7018,.125,A36,{140 + n},22,6,2026-03-02 09:{n:02}:00,S2,W2,F" for n in range(30)
    ]
    lines += [
        "SMAW,E7018,1/8,mild steel,320,22,6,2026-03-02 10:00:00,S3,W1,F",
        "SMAW,E7018,1/8,mild steel,55,22,6,2026-03-02 10:00:10,S3,W1,F",
        "SMAW,E7018,1/8,unobtainium,130,22,6,2026-03-02 10:00:20,S3,W1,F",
        "SMAW,E7018,1/8,mild steel,nan,22,6,2026-03-02 10:00:30,S3,W1,F",
        "SMAW,E7018,1/8,mild steel,99999,,6,not a time,S3,W1,F",
        "SMAW,E7018,1/8,mild steel,inf,,soup,,,,F",
    ]
    path = tmp_path / "posts.csv"
    path.write_text(POSTS + "\n".join(lines) + "\n")
    return path


def test_counts_by_verdict_and_quantity(posts: Path) -> None:
    audit = audit_log(posts)
    current, voltage, travel = audit.counts
    assert (current.quantity, current.readings) == ("current", 66)
    # Machinery's Handbook, 31st edition, p. 1594, Table 14: 110 to 160 A.
    assert (current.inside, current.low, current.high) == (30 + 21, 1, 1 + 9)
    assert current.reasons == {"unknown material": 1, "not a number": 2, "implausible": 1}
    assert voltage.readings == 64
    assert travel.reasons == {"unknown material": 1, "not a number": 1}
    assert audit.verdict == "low"
    assert audit.columns.unknown == ("fixture",)


def test_what_a_log_does_not_say_is_asked_for(tmp_path: Path) -> None:
    """E7018 of 1/8 in and of 3/32 in take other currents (Machinery's Handbook 31, p. 1594)."""
    log, target = tmp_path / "log.csv", tmp_path / "verdicts.parquet"
    log.write_text(
        "process,electrode,diameter,amps\n"
        + "SMAW,E7018,,130\n" * 3
        + "SMAW,E7018,1/8,130\nSMAW,E7018,1/8,250\n"
    )
    audit = audit_log(log, output=target)
    (current,) = audit.counts
    assert (current.depends, current.inside, current.high) == (3, 1, 1)
    (asked,) = current.asks
    assert (asked.condition, asked.column) == ("electrode_size", "diameter")
    assert (asked.readings, asked.settled) == (3, 3)
    assert "a diameter would settle 3 of 3 readings" in " ".join(audit_text(audit).split())
    with duckdb.connect() as connection:
        rows = connection.execute(
            'SELECT verdict, "by", depends_on FROM read_parquet($1) ORDER BY record', [str(target)]
        ).fetchall()
    assert rows[0] == ("depends", None, "diameter")
    assert rows[3:] == [("inside", 0.0, None), ("high", 90.0, None)]


def test_a_code_in_a_column_lets_its_rows_speak(tmp_path: Path) -> None:
    """Rows of AWS D1.1 bind only where the code is named."""
    log = tmp_path / "log.csv"
    log.write_text("process,material,thickness,code,preheat\nSMAW,A36,1 in,,70\n")
    (without,) = audit_log(log).counts
    log.write_text("process,material,thickness,code,preheat\nSMAW,A36,1 in,AWS D1.1,70\n")
    (named,) = audit_log(log).counts
    (asked,) = without.asks
    assert (asked.condition, asked.column) == ("scope", "code")
    assert "scope" not in {asked.condition for asked in named.asks}


def test_what_cannot_be_passes_nothing(tmp_path: Path) -> None:
    """No active gas on tungsten: the set-up rules hold the values back."""
    log = tmp_path / "log.csv"
    log.write_text("process,material,thickness,gas,amps\nTIG,mild steel,1/8,CO2,90\n")
    (current,) = audit_log(log).counts
    assert current.inside + current.depends == 0


def test_worst_readings_come_first(posts: Path) -> None:
    worst = audit_log(posts).worst
    assert (worst[0].record, worst[0].value, worst[0].by) == (61, 320.0, 160.0)
    assert worst[0].share == pytest.approx(1.0)
    assert (worst[1].record, worst[1].verdict, worst[1].by) == (62, "low", 55.0)
    assert worst[0].joint == "S3"
    assert worst[0].welder == "W1"
    assert worst[0].windows
    shares = [found.share for found in worst]
    assert shares == sorted(shares, reverse=True)
    assert len(audit_log(posts, most=2).worst) == 2
    assert audit_log(posts, most=0).worst == ()


def test_a_range_that_ends_at_0_has_no_share(posts: Path) -> None:
    audit = audit_log(posts)
    odd = replace(audit.worst[0], share=None)
    assert "high by 160 A " in audit_text(replace(audit, worst=(odd,)))


def test_drift_describes_halves_and_slope(posts: Path) -> None:
    drift = audit_log(posts).drifts[0]
    assert (drift.joint, drift.quantity, drift.readings) == ("S2", "current", 30)
    assert (drift.first_readings, drift.second_readings) == (15, 15)
    assert drift.first_mean == pytest.approx(147.0)
    assert drift.second_mean == pytest.approx(162.0)
    assert drift.slope == pytest.approx(60.0)  # one ampere a minute
    assert drift.hours == pytest.approx(29 / 60)


def test_every_verdict_is_written(posts: Path, tmp_path: Path) -> None:
    target = tmp_path / "verdicts.parquet"
    audit = audit_log(posts, output=target)
    with duckdb.connect() as connection:
        counted = connection.execute(
            "SELECT quantity, count(*) FROM read_parquet($1) GROUP BY 1 ORDER BY 1", [str(target)]
        ).fetchall()
        high = connection.execute(
            'SELECT verdict, value, unit, "by", grade, windows, reason FROM read_parquet($1) '
            "WHERE record = 61 AND quantity = 'current'",
            [str(target)],
        ).fetchall()
    assert dict(counted) == {count.quantity: count.readings for count in audit.counts}
    ((verdict, value, unit, by, grade, windows, reason),) = high
    assert (verdict, value, unit, by, grade, reason) == ("high", 320.0, "A", 160.0, "read", None)
    assert windows.startswith("machinerys-handbook-31:")
    assert [path.name for path in tmp_path.iterdir() if "verdicts" in path.name] == [target.name]


def test_the_log_is_never_overwritten(posts: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is the file that is read"):
        audit_log(posts, output=posts)
    with pytest.raises(InputError, match="give a file name in a folder that exists"):
        check_target(tmp_path / "no" / "folder.parquet", posts)
    with pytest.raises(InputError, match="give a file name in a folder that exists"):
        check_target(tmp_path, posts)


def test_a_failed_run_leaves_what_was_there(posts: Path, tmp_path: Path) -> None:
    target = tmp_path / "verdicts.parquet"
    target.write_bytes(b"yesterday's")
    posts.write_text(POSTS + "SMAW,too few cells\n")
    with pytest.raises(InputError):
        audit_log(posts, output=target)
    assert target.read_bytes() == b"yesterday's"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["posts.csv", "verdicts.parquet"]


@pytest.mark.skipif(os.name == "nt", reason="no SIGTERM on Windows")
def test_a_run_that_is_ended_leaves_no_half_file(tmp_path: Path) -> None:
    """The log is large enough to be ended while its verdicts are written."""
    folder = tmp_path / "out"
    folder.mkdir()
    with duckdb.connect() as connection:
        connection.execute(
            "COPY (SELECT 'SMAW' AS process, 'E7018' AS electrode, '1/8' AS diameter, "
            "100 + i % 100 + random() AS amps FROM range(3000000) r(i)) "
            f"TO '{tmp_path / 'log.parquet'}'"
        )
    arguments = [str(tmp_path / "log.parquet"), "--output", str(folder / "verdicts.parquet")]
    process = subprocess.Popen([sys.executable, "-m", "weldref", "audit-log", *arguments])
    while process.poll() is None and not list(folder.iterdir()):
        time.sleep(0.02)
    process.send_signal(signal.SIGTERM)
    code = process.wait()
    left = [path.name for path in folder.iterdir()]
    # On a fast machine it may have finished first: then the file is whole.
    assert (code, left) in [(128 + signal.SIGTERM, []), (1, ["verdicts.parquet"])]


@pytest.mark.parametrize(
    ("rows", "code"),
    [
        ("SMAW,E7018,1/8,130\n", 0),
        ("SMAW,E7018,1/8,130\nSMAW,E7018,1/8,250\n", 1),
        ("SMAW,E7018,1/8,130\nEGW,,,300\n", 3),
        ("EGW,,,300\n", 3),
        ("SMAW,E7018,1/8,130\nSMAW,E7018,1/8,soup\n", 3),
        ("SMAW,E7018,1/8\n", 2),
    ],
)
def test_exit_codes(
    rows: str, code: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "log.csv"
    path.write_text("process,electrode,diameter,amps\n" + rows)
    assert main(["audit-log", str(path)]) == code
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    assert (err.count("\n"), out == "") == ((1, True) if code == 2 else (0, False))


@pytest.mark.parametrize(
    "options",
    [
        ["--units", "imperial"],
        ["--grade", "hearsay"],
        ["--map", "current"],
        ["--map", "current=no such"],
        ["--unit", "current=mm"],
        ["--map", "current=Amps", "--map", "current=Volts"],
        ["--most", "-1"],
        ["--engine", "steam"],
        ["--output", "/no/such/folder/v.parquet"],
        ["--engine", "spark", "--output", "v.parquet"],
    ],
)
def test_bad_options_are_one_sentence(
    options: list[str], posts: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["audit-log", str(posts), *options]) == 2
    err = capsys.readouterr().err
    assert err.startswith("weldref: ")
    assert err.count("\n") == 1


def test_text_fits_80_columns_and_says_what_it_is_not(
    posts: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["audit-log", str(posts)]) == 1
    out = capsys.readouterr().out
    assert "not used: fixture" in out
    assert "travel speed, in/min (as the heading says)" in out
    assert "current, A (no unit stated: --units us)" in out
    assert "a description, not a verdict" in out
    assert "is not safe, qualified or sound" in " ".join(out.split())
    assert max(len(line) for line in out.splitlines() if "/" not in line) <= 80


def test_json_is_one_object(posts: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audit-log", str(posts), "--json", "--map", "current=Amps"]) == 1
    answer = json.loads(capsys.readouterr().out)
    assert answer["records"] == 66
    assert {"verdict", "counts", "worst", "drifts", "columns", "dataset", "reminder"} <= set(answer)


def test_no_progress_is_written_where_nobody_looks(
    posts: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["audit-log", str(posts)])
    assert capsys.readouterr().err == ""


def test_a_terminal_sees_the_stages(
    posts: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("FORCE_COLOR", "1")
    main(["audit-log", str(posts)])
    assert "━" in capsys.readouterr().err


def test_two_keys_for_one_hash_are_told_apart(posts: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A hash that two conditions share is not used."""
    from weldref.logs.engine import DuckEngine

    expected = audit_log(posts).counts
    run = DuckEngine.run
    tried: list[str] = []

    def weak(self: DuckEngine, sql: str, parameters: object = None) -> object:
        if "hash(0" in sql and "cond l" in sql:
            tried.append(sql)
            sql = sql.replace("hash(0", "length(concat(0").replace(") AS key", ")) * 0 AS key", 1)
        return run(self, sql, parameters)  # type: ignore[arg-type]

    monkeypatch.setattr(DuckEngine, "run", weak)
    assert audit_log(posts).counts == expected
    assert tried
