"""Navigation; each page is a file of `views`."""

import streamlit as st

from dashboard import choices, frame, sidebar

st.set_page_config(page_title="Tideworn", page_icon="⚓", layout="wide", initial_sidebar_state=256)
chosen = st.navigation(
    [st.Page(path, title=title) for path, title in frame.PAGES.items()], position="top"
)
choices.hold()
sidebar.show()
chosen.run()
