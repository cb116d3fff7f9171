"""Several visitors at once: each gets the answer to what that visitor changed."""

from __future__ import annotations

from tests.bench.test_dashboard_load import LEAST, Size, crowd


def test_each_of_several_visitors_gets_the_answer_to_their_own_change(server):
    times = crowd(server.host, Size(5, 0, (0.05, 0.1)))
    assert len(times.first) == 5
    assert len(times.changes) == 5 * LEAST
