"""What an installation holds is known part by part, and nothing heavy slips in unseen."""

from tests.benchmarks.parts import parts

# Needs of streamlit that stainbook could not shed; see the guide's decisions
STREAMLIT_BRINGS = {"pyarrow", "pydeck"}
HEAVY = {"numpy", "opencv-python-headless", "pandas", "scipy", "streamlit", "fonttools", "sqlalchemy", "pillow"}


def test_what_is_heavy_is_known():
    heavy = {part.name for part in parts() if part.megabytes > 20}
    assert heavy <= HEAVY | STREAMLIT_BRINGS
    assert {part.asked_by for part in parts() if part.name in STREAMLIT_BRINGS} == {("streamlit",)}


def test_every_part_tells_a_licence_that_lets_it_be_shipped():
    found = {part.name: part.licence for part in parts()}
    assert "not told" not in found.values()
    strong = ("AGPL", "GPL-2", "GPL-3.0-only", "GPL-3.0-or-later")
    assert not [name for name, licence in found.items() if licence.startswith(strong)]  # LGPL is linked to, not copied


def test_the_test_tools_are_no_part():
    assert not {"colour-science", "pytest", "playwright", "ruff"} & {part.name for part in parts()}
