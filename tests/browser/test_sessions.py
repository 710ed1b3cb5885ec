"""Two sessions at once on one PostgreSQL book; `tests.browser.sessions` lets five work for three minutes."""

from concurrent.futures import ThreadPoolExecutor

import pytest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

from tests.browser.sessions import run


@pytest.mark.postgresql
def test_two_sessions_mix_up_and_lose_nothing(browser, postgresql_url, tmp_path):
    with ThreadPoolExecutor(1) as apart:  # the browser fixture keeps this thread's event loop
        done = apart.submit(run, postgresql_url, tmp_path, seconds=0, sessions=2, benches=1).result()
    assert [len(one.done) for one in done] == [1, 1]
    assert all(one.found for one in done)
