"""The screens: `lightplan app`, or `streamlit run app.py`."""

from lightplan.present.pages.frame import run

run()
