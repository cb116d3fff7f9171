"""Files in memory: their names, what is wrong with them, the reports, and what stays behind."""

import io
import stat
import tempfile
import zipfile
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldref.audit.report import FORMATS
from weldref.audit.uploads import (
    LONGEST_NAME,
    Upload,
    audit_log_upload,
    audit_read,
    log_verdicts,
    packed_reports,
    plain_name,
    read_upload,
)
from weldref.errors import InputError

SAMPLES = Path(__file__).parents[1] / "procedures" / "samples"
LOG = b"process,electrode,diameter,amps\nSMAW,E7018,1/8,130\nSMAW,E7018,1/8,250\n"


def sample(name):
    return Upload(name, (SAMPLES / name).read_bytes())


@given(st.text(max_size=300))
def test_a_name_is_one_printable_part_of_a_path(name):
    plain = plain_name(name)
    assert plain.isprintable()
    assert 0 < len(plain) <= LONGEST_NAME
    assert not set("/\\") & set(plain)
    assert plain not in (".", "..")
    assert plain_name(plain) == plain


@pytest.mark.parametrize("data", [b"", b"\x00" * 50, b"%PDF-1.7", b"PK\x03\x04 no archive", b"{"])
def test_a_file_that_is_none_says_why_in_one_sentence(data):
    read = read_upload(Upload("a.json", data))
    assert read.procedures == ()
    assert read.problem
    assert "\n" not in read.problem
    assert audit_read(read) == ()


def test_a_record_covers_others_and_not_itself():
    record = read_upload(sample("pqr-v.json"))
    asked = {"record": record.procedures[0], "code": "AWS D1.1"}
    (own,) = audit_read(record, **asked)
    (other,) = audit_read(read_upload(sample("wps-e.json")), **asked)
    assert other.asked["code"] == "AWS D1.1"
    assert "record-coverage" in {f.rule for f in other.findings}
    # Held against itself it would be covered by what it is.
    assert "record-coverage" not in {f.rule for f in own.findings}


@cache
def two_reports():
    read = [read_upload(sample(one)) for one in ("wps-g.json", "wps-o.json")]
    return [report for one in read for report in audit_read(one)]


@pytest.mark.parametrize("form", FORMATS)
def test_one_report_is_a_file_and_several_are_an_archive_with_a_summary(form):
    reports = two_reports()
    name, content = packed_reports(reports[:1], form)
    assert name.startswith("wps-g-audit.")
    assert content
    name, content = packed_reports(reports, form)
    assert name.endswith(".zip")
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        assert archive.testzip() is None
        first, *others = archive.namelist()
        assert first == "summary.txt"
        assert [other.rpartition(".")[0] for other in others] == ["wps-g-audit", "wps-o-audit"]
        assert "WPS-G" in archive.read("summary.txt").decode()
    assert packed_reports(reports, form) == (name, content)


def test_equal_and_wicked_names_stay_apart_inside_the_archive():
    data = (SAMPLES / "wps-o.json").read_bytes()
    named = ["../../x.json", "x.json", "/etc/x.json", "x\x1b[31m.json"]
    reports = [r for name in named for r in audit_read(read_upload(Upload(name, data)))]
    _, content = packed_reports(reports, "json")
    names = zipfile.ZipFile(io.BytesIO(content)).namelist()
    assert len(names) == len(set(names)) == len(named) + 1
    assert all(name.isprintable() and "/" not in name and ".." not in name for name in names)


def test_no_report_is_refused():
    with pytest.raises(InputError, match="nothing was audited"):
        packed_reports([], "text")


def test_a_log_lies_in_a_private_folder_only_as_long_as_its_audit(monkeypatch, tmp_path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    seen = []
    from weldref.logs import audit as logs

    audit = logs.audit_log

    def watched(path, **asked):
        seen.append((path, stat.S_IMODE(path.parent.stat().st_mode)))
        return audit(path, **asked)

    monkeypatch.setattr(logs, "audit_log", watched)
    found = audit_log_upload(Upload("../../posts.csv", LOG))
    assert (found.log, found.output, found.records) == ("posts.csv", None, 2)
    assert log_verdicts(Upload("posts.csv", LOG)).startswith(b"PAR1")
    ((path, mode), _) = seen
    assert path.is_relative_to(tmp_path)
    assert mode == 0o700
    assert list(tmp_path.rglob("*")) == []


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.csv", b""),
        ("a.csv", b"\xff\xfe\x00"),
        ("a.parquet", b"PAR1 but no more"),
        ("a.parquet", b"no parquet"),
        ("a\x1b[31m.csv", b"x,y\n1,2\n"),
        ("../../../etc/a.csv", LOG + b"SMAW,E7018\n"),
        ("a" * 500 + ".csv", b"amps\n"),
    ],
)
def test_a_log_that_is_none_says_why_and_leaves_nothing(monkeypatch, tmp_path, name, data):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    for audit in (audit_log_upload, log_verdicts):
        with pytest.raises(InputError) as refused:
            audit(Upload(name, data))
        said = str(refused.value)
        assert said.isprintable()
        assert str(tmp_path) not in said
    assert list(tmp_path.rglob("*")) == []
