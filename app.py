"""The pages of the app, in the order of the work."""

from pathlib import Path

import streamlit as st

import stainbook

PAGES = Path(stainbook.__file__).parent / "pages"

st.navigation([st.Page(PAGES / "case_page.py", title="Case", url_path="case", default=True)]).run()
