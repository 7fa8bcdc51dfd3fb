"""The report of a plan: one HTML file."""
