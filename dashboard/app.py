"""Navigation; each page is a file of `views`."""

import streamlit as st

from dashboard import frame, sidebar

st.set_page_config(page_title="Tideworn", page_icon="⚓", layout="wide")
chosen = st.navigation(
    [st.Page(path, title=title) for path, title in frame.PAGES.items()], position="top"
)
sidebar.show()
chosen.run()
