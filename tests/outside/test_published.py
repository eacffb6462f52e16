"""The tables of published values themselves."""

import pytest

from tests.outside.published import EVIDENCE, FOLDER, WORDS, rows

TABLES = sorted(path.stem for path in FOLDER.glob("*.csv"))


@pytest.mark.parametrize("table", TABLES)
def test_every_published_value_has_source_reason_and_evidence(table):
    for row in rows(table):
        assert all(len(str(row[word])) > 3 for word in WORDS)
        assert row["evidence"] in EVIDENCE
        assert None not in row


def test_more_than_half_of_the_published_values_were_read_when_their_check_was_written():
    evidence = [row["evidence"] for table in TABLES for row in rows(table)]
    assert len(evidence) > 130
    assert evidence.count("read") > len(evidence) / 2
