"""What pages are made of: the arch, swatches, next steps, plots. Markup is built apart from Streamlit."""
