"""What a finding cites is found again, as printed."""

from pathlib import Path

import pytest

from tests.effort import some
from weldref.audit.cited import MOST_ROWS, cited, printed_rows
from weldref.audit.uploads import Upload, audit_read, read_upload
from weldref.text import span

SAMPLES = some(sorted((Path(__file__).parents[1] / "procedures" / "samples").glob("*.json")), 3)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_each_cited_document_is_in_the_table_of_sources(store, path):
    (report,) = audit_read(read_upload(Upload(path.name, path.read_bytes())))
    for finding in report.findings:
        found = cited(store, finding.source_id, finding.locator, finding.expected)
        if not finding.source_id:
            assert found is None
            continue
        assert found.source.source_id == finding.source_id
        assert len(found.ranges) + len(found.others) <= MOST_ROWS
        for row in found.ranges:
            assert (row.source_id, row.locator or "") == (finding.source_id, finding.locator)
        if finding.rule == "published-range":
            assert any(span(row) in finding.expected for row in found.ranges)


def test_rows_of_other_tables_are_shown_with_their_grade(store):
    (rule,) = store.rows(
        "SELECT source_id, locator, how_read FROM qualification_rules "
        "WHERE standard = 'ASME IX' AND clause = 'QW-403.9'"
    )
    found = cited(store, rule["source_id"], rule["locator"])
    row = next(row for row in found.others if row.cells.get("clause") == "QW-403.9")
    assert (row.table, row.how_read) == ("qualification_rules", rule["how_read"])


def test_a_place_that_no_row_has_still_names_its_document(store):
    found = cited(store, "machinerys-handbook-31", "a page that no row has")
    assert found.source.edition.startswith("31st")
    assert (found.ranges, found.others, found.left) == ((), (), 0)


def test_ranges_are_found_by_their_keys_in_the_order_asked(store):
    keys = [r["window_id"] for r in store.rows("SELECT window_id FROM windows LIMIT 3")][::-1]
    assert [row.window_id for row in printed_rows(store, tuple(keys))] == keys
