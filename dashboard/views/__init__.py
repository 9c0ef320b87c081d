"""One file a page; Streamlit runs them, nothing imports them."""
