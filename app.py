"""The pages of the app, in the order of the work; beside them what the lab knows."""

import streamlit as st

from stainbook.pages.shell import texts
from stainbook.pages.shell.menu import show_menu
from stainbook.pages.shell.page_frame import speak_here
from stainbook.pages.shell.page_list import page_file
from stainbook.pages.shell.signed_in_parts import enter, show_signed_in


def _page(name: str, title: str):
    seen = "hidden" if name in texts.HIDDEN_PAGES else "visible"
    address = name.replace("_", "-")
    return st.Page(page_file(name), title=title, url_path=address, default=name == "start", visibility=seen)


speak_here()  # before the names of the pages are looked up
enter()
pages = {name: _page(name, title) for name, title in texts.PAGES.items()}
here = st.navigation([*pages.values()], position="hidden")
show_menu(pages, here)
show_signed_in()
here.run()
