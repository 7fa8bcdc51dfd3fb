"""Drawings to scale, for the pages and the report."""
